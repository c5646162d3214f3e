/** Opens an address in the person's default browser. */
import { spawn } from 'node:child_process';

/** Whether there is a screen with a person before it: no CI, and a display where one is needed. */
export function canOpenBrowser(
  env: Record<string, string | undefined>,
  platform = process.platform,
): boolean {
  if (env.CI) return false;
  if (platform === 'darwin' || platform === 'win32') return !env.SSH_CONNECTION;
  return Boolean(env.DISPLAY ?? env.WAYLAND_DISPLAY);
}

/** Starts the browser and forgets it: the address stands on the terminal should this not work. */
export function openBrowser(url: string, platform = process.platform): void {
  const [command, args] =
    platform === 'darwin'
      ? ['open', [url]]
      : platform === 'win32'
        ? ['rundll32', ['url.dll,FileProtocolHandler', url]]
        : ['xdg-open', [url]];
  const child = spawn(command, args, { stdio: 'ignore', detached: true });
  child.on('error', () => {});
  child.unref();
}
