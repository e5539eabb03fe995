/** Entry of the firmware for `wiring/pico.ts`: the one place to name another base file or tank. */
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { pico } from '../wiring/pico.ts'
import { startFirmware } from './start.ts'

startFirmware(pico, defaultBase, defaultTank)
