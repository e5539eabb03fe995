/** Entry of the firmware for `wiring/esp32.ts`: the one place to name another base file or tank. */
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { esp32 } from '../wiring/esp32.ts'
import { startFirmware } from './start.ts'

startFirmware(esp32, defaultBase, defaultTank)
