/** Entry of a bundle for tests: mends the file store of the interpreter's Linux build, whose flash lies at a fixed address. */
import type { EngineFlash } from '../../../hal/espruino/engine.ts'
import { mendStore } from '../../../hal/espruino/guard/mend.ts'

declare const global: { require(name: 'Flash'): EngineFlash }
declare const print: (text: string) => void

mendStore(global.require('Flash'), 0x10000000, 262_144)
print('mended')
