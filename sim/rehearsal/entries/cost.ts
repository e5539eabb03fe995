/** Entry that prints what the firmware costs the engine that runs it, as lines of JSON; see `sim/bench/benchEngine.ts`. */
import { runTo, timeRooms, timeSession, turnSeconds } from '../cost.ts'
import { standardRehearsal } from '../standard.ts'

declare const print: (line: string) => void
/** Of the board's engine. */
declare const getTime: (() => number) | undefined
declare const process: { memory(): { usage: number } }
/** Of duktape, whose \`Date\` only counts milliseconds. */
declare const performance: { now(): number } | undefined

/** Seconds of the sessions timed: the developer's pour and first minutes, in which everything happens. */
const SESSION_SECONDS = 200
const ROOM_SECONDS = 60
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

const scale = (seconds: number): number => Math.round(seconds * 1e9)

const before = variables()
const r = standardRehearsal({ hand: 'simulated' })
const made = variables()
runTo(r, 0, 35)
const session = timeSession(r, SESSION_SECONDS, now)
runTo(r, DEVELOPER, SETTLED_SECONDS)
const running = variables()
const rooms = timeRooms(r, ROOM_SECONDS, now)
let turn = 0
for (let i = 0; i < 20; i++) turn += turnSeconds(500, now) / 20
// In nanoseconds, for an engine that prints few decimals.
print(
  JSON.stringify({
    seconds: session.seconds,
    turn: scale(session.turnSeconds),
    firmware: scale(session.firmwareSeconds),
    plant: scale(session.plantSeconds),
    worst: scale(session.worstSeconds),
    worstAt: Math.round(session.worstAt),
    mishaps: r.base.mishaps,
    before,
    made,
    running,
  }),
)
print(JSON.stringify({ turn: scale(turn), rooms: rooms.map(room => [room[0], scale(room[1])]) }))
