// The program as a few files instead of six hundred, which load three times as fast (scripts/build.mjs).
import { defineConfig } from 'vite';

/** Threads, each started by one file. */
const threads = {
  'desk-thread': 'thread-workbench.ts',
  'sound-thread': 'sound-threads.ts',
};

export default defineConfig({
  plugins: [
    {
      name: 'threads-beside-the-program',
      transform: (code, id) => {
        const found = Object.entries(threads).find(([, starts]) =>
          id.endsWith(`/src/application/${starts}`),
        );
        return found && code.replace(`./${found[0]}.ts`, `./${found[0]}.mjs`);
      },
    },
  ],
  publicDir: false,
  ssr: { noExternal: true },
  build: {
    ssr: true,
    target: 'node22',
    minify: false,
    rolldownOptions: {
      input: {
        main: 'src/command-line/main.ts',
        ...Object.fromEntries(
          Object.keys(threads).map((name) => [name, `src/application/${name}.ts`]),
        ),
      },
      // In one folder, as deep as the folders of the sources: relative paths to the page stay right.
      output: { entryFileNames: '[name].mjs', chunkFileNames: '[name]-[hash].mjs' },
    },
  },
});
