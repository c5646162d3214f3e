// The program as a few files instead of six hundred, which load three times as fast (scripts/build.mjs).
import { defineConfig } from 'vite';

const thread = 'desk-thread';

export default defineConfig({
  plugins: [
    {
      name: 'thread-beside-the-program',
      transform: (code, id) =>
        id.endsWith('/src/application/thread-workbench.ts')
          ? code.replace(`./${thread}.ts`, `./${thread}.mjs`)
          : undefined,
    },
  ],
  publicDir: false,
  ssr: { noExternal: true },
  build: {
    ssr: true,
    target: 'node22',
    minify: false,
    rolldownOptions: {
      input: { main: 'src/command-line/main.ts', [thread]: `src/application/${thread}.ts` },
      // In one folder, as deep as the folders of the sources: relative paths to the page stay right.
      output: { entryFileNames: '[name].mjs', chunkFileNames: '[name]-[hash].mjs' },
    },
  },
});
