/** Entry that prints what the firmware costs the engine that runs it, as lines of JSON; see `sim/bench/benchEngine.ts`. */
import { runTo, timeRooms, timeSession } from '../cost.ts'
import { standardRehearsal } from '../standard.ts'

declare const print: (line: string) => void
/** Of the board's engine. */
declare const getTime: (() => number) | undefined
declare const process: { memory(): { usage: number } }
/** Of duktape, whose \`Date\` only counts milliseconds. */
declare const performance: { now(): number } | undefined

/** Blocks of ten seconds: the prewet's end, the developer's pour and first minutes, in which everything happens; and a quiet minute. */
const SESSION_BLOCKS = 20
const ROOM_BLOCKS = 7
/** The developer, and how long it has turned when the rooms are timed apart. */
const DEVELOPER = 1
const SETTLED_SECONDS = 70

const now =
  typeof getTime === 'function' ? getTime : typeof performance === 'object' ? () => performance.now() / 1000 : coarse

function coarse(): number {
  return Date.now() / 1000
}

/** 0 where the engine does not tell. */
function variables(): number {
  try {
    return process.memory().usage
  } catch (_) {
    return 0
  }
}

const r = standardRehearsal({ hand: 'simulated' })
runTo(r, 0, 35)
const session = timeSession(r, SESSION_BLOCKS, now)
runTo(r, DEVELOPER, SETTLED_SECONDS)
const running = variables()
const rooms = timeRooms(r, ROOM_BLOCKS, now)
print(JSON.stringify({ cost: session, rooms, mishaps: r.base.mishaps, variables: running }))
