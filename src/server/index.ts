export { createApp, type AppOptions } from './app.ts';
export { startServer, type RunningServer, type ServerOptions } from './start-server.ts';
