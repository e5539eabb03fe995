/** Entry of the firmware for `wiring/stm32f4.ts`: the one place to name another base file or tank. */
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { stm32f4 } from '../wiring/stm32f4.ts'
import { startFirmware } from './start.ts'

startFirmware(stm32f4, defaultBase, defaultTank)
