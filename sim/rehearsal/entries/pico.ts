/** Entry of the rehearsal for `wiring/pico.ts`. */
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { startRehearsal } from './start.ts'

startRehearsal(pico)
