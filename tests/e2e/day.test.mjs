// The whole day on a phone; see day.mjs.

import { day } from './day.mjs';

day({ width: 390, height: 844 }, true);
