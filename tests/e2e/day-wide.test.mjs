// The whole day on a laptop, by mouse and keys; see day.mjs.

import { day } from './day.mjs';

day({ width: 1280, height: 800 }, false);
