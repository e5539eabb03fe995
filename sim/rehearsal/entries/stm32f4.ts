/** Entry of the rehearsal for `wiring/stm32f4.ts`. */
import { stm32f4 } from '../../../hal/espruino/wiring/stm32f4.ts'
import { startRehearsal } from './start.ts'

startRehearsal(stm32f4)
