import { setUp } from './runtime.mjs';
setUp();
