/** Entry of the bundle that the interpreter runs: its own modules, and a line for each check. */
import type { EngineE, EngineGraphics, EngineModules, GraphicsMaker } from '../../../hal/espruino/engine.ts'
import { checkOn } from './onInterpreter.ts'

declare const print: (text: string) => void
declare const E: EngineE
declare const Graphics: GraphicsMaker

const moduleOf = new Function('name', 'return require(name)') as <M extends keyof EngineModules>(
  name: M,
) => EngineModules[M]
const storage = moduleOf('Storage')
const flash = moduleOf('Flash')
// Files in front of the journal's, one of which goes before the store is compacted.
storage.write('in-front', 'gone after a while, and 77 bytes long, which is no multiple of anything at all')
storage.write('stays', 'as it is')
const start = flash.getFree()[0].addr
checkOn(
  {
    storage: storage,
    flash: flash,
    storeAddress: start,
    createGraphics: (width, height): EngineGraphics =>
      Graphics.createArrayBuffer(width, height, 1, { vertical_byte: true }),
    crc32: data => E.CRC32(data),
    sum: data => E.sum(data),
  },
  (flash.getPage(start) as { length: number }).length,
  print,
)
