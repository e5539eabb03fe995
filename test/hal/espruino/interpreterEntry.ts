/** Entry of the bundle that the interpreter runs: its own modules, and a line for each check. */
import { engineOfGlobals } from '../../../hal/espruino/globals.ts'
import { checkOn } from './onInterpreter.ts'

const engine = engineOfGlobals()
const storage = engine.require('Storage')
const flash = engine.require('Flash')
// Files in front of the journal's, one of which goes before the store is compacted.
storage.write('in-front', 'gone after a while, and 77 bytes long, which is no multiple of anything at all')
storage.write('stays', 'as it is')
const start = flash.getFree()[0].addr
checkOn(
  {
    storage: storage,
    flash: flash,
    storeAddress: start,
    graphics: engine.Graphics,
    crc32: data => engine.E.CRC32(data),
    sum: data => engine.E.sum(data),
  },
  (flash.getPage(start) as { length: number }).length,
  engine.print,
)
