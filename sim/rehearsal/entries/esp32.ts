/** Entry of the rehearsal for `wiring/esp32.ts`. */
import { esp32 } from '../../../hal/espruino/wiring/esp32.ts'
import { startRehearsal } from './start.ts'

startRehearsal(esp32)
