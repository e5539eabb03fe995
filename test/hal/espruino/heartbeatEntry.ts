/**
 * Entry of a bundle for the interpreter itself: the heartbeat on its real timers, and a tick that goes wrong in the way
 * that the global `scenario` says. The motor only tells what is done to it.
 */
import { engineOfGlobals } from '../../../hal/espruino/globals.ts'
import { startHeartbeat } from '../../../hal/espruino/heartbeat.ts'

declare const print: (text: string) => void
declare const scenario: string

const engine = engineOfGlobals()
const board = {
  motor: { driven: true, rest: () => print('motor at rest') },
  line: { taken: false },
}
const hoard: string[] = []
let ticks = 0

function deeper(n: number): number {
  return 1 + deeper(n + 1)
}

startHeartbeat(
  engine,
  board,
  () => {
    ticks++
    if (ticks !== 5) return
    print('five ticks')
    if (scenario === 'deep') deeper(0)
    if (scenario === 'memory') for (;;) hoard.push('a text that takes some variables ' + hoard.length)
    if (scenario === 'throw') throw new Error('broken')
    if (scenario === 'well') print('well')
  },
  reason => print('because of ' + reason),
)
