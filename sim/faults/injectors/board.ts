/** Carries out the faults of the board: ticks, clock, flash, resets, line, screen, sounder. */
import type { ResetCause } from '../../../hal/board.ts'
import { sendToLine } from '../../plant/pins.ts'
import { between, uniform } from '../../plant/random.ts'
import type { Acting, Injector } from '../injector.ts'
import { reset } from '../rig.ts'
import type { boardFaults } from '../tables/board.ts'

function resetting(cause: ResetCause): Injector {
  return {
    begin({ rig, strength }) {
      reset(rig, cause, strength)
    },
  }
}

/** Requests that ask, and some that are refused: in a session because it runs, and at rest because they ask too much. */
const REQUESTS = [
  '{"jsonrpc":"2.0","id":1,"method":"status"}',
  '{"jsonrpc":"2.0","id":2,"method":"describe"}',
  '{"jsonrpc":"2.0","id":3,"method":"recipe.list"}',
  '{"jsonrpc":"2.0","id":4,"method":"recipe.get","params":{"name":"bw-negative"}}',
  '{"jsonrpc":"2.0","id":5,"method":"telemetry.follow","params":{"everySeconds":1}}',
  '{"jsonrpc":"2.0","id":6,"method":"calibration.get"}',
  '{"jsonrpc":"2.0","id":7,"method":"session.start","params":{"recipe":"bw-negative","millilitres":300,"films":99}}',
  '{"jsonrpc":"2.0","id":8,"method":"motor.turn","params":{"rpm":119,"seconds":10}}',
  '{"jsonrpc":"2.0","id":9,"method":"prompt"}',
  '{"jsonrpc":"2.0","id":10,"method":"session.abandon","params":{"confirm":false}}',
  '{"jsonrpc":"2.0","id":11,"method":"nonsense","params":[[[[[]]]]]}',
  '{"jsonrpc":"2.0","id":{"deep":1},"method":"status","params":{"__proto__":1}}',
  '[]',
  '{',
]
const RECORD = '\x1e'
const END = '\n'

/** What is sent now is answered before the session can be over: then it would be taken. */
function isSurelyUnderway(acting: Acting): boolean {
  const { rig } = acting
  const { pins } = rig.plant
  if (!isUnderway(acting) || rig.base?.session.state === 'draining') return false
  return pins.lineIn === '' && pins.seconds - rig.asked.abandon > ASKED_SECONDS
}
const ASKED_SECONDS = 5

/** Sends one whole request, and remembers when. A base that is dark does not hear it. */
function ask(acting: Acting, method: string, params?: object): void {
  const { rig } = acting
  if (rig.base === undefined) return
  const { pins } = rig.plant
  rig.asked.any = pins.seconds
  const words = { jsonrpc: '2.0', id: pins.seconds, method, ...(params && { params }) }
  sendToLine(pins, RECORD + JSON.stringify(words) + END)
}

/** What may not be in a session, or waits for a press; sent in a session only, because at rest it may well be meant. */
const REFUSED_IN_SESSION: [string, object][] = [
  ['session.start', { recipe: 'bw-negative', millilitres: 300, films: 1 }],
  ['session.start', { recipe: 'short', millilitres: 300, films: 1 }],
  ['motor.turn', { rpm: 60, seconds: 30 }],
  ['calibration.set', { points: [[20, 2000]], sigmaCelsius: 0.1, lagSeconds: 14, by: 'campaign' }],
  ['recipe.put', { recipe: { name: 'put-here' } }],
  ['recipe.remove', { name: 'short' }],
  ['rehearse', { motor: true }],
  ['session.hold', { on: false }],
  ['session.abandon', { confirm: false }],
  ['session.hold', { on: 'yes' }],
  ['session.hold', {}],
  ['session.dark', { seconds: -5 }],
]

/** What anybody may ask for at any time. */
const HARMLESS: [string, object][] = [
  ['prompt', {}],
  ['telemetry.follow', { everySeconds: 1 }],
  ['telemetry.follow', { everySeconds: 0 }],
  ['status', {}],
  ['calibration.get', {}],
]

function oneOf(acting: Acting, requests: [string, object][]): void {
  const [method, params] = requests[Math.floor(uniform(acting.rig.random) * requests.length)] as [string, object]
  ask(acting, method, params)
}

function request(acting: Acting): string {
  const place = Math.floor(uniform(acting.rig.random) * REQUESTS.length)
  return RECORD + (REQUESTS[place] as string) + END
}

/** Before the first pour a start that was asked for would plan another recipe than the operator has in hand. */
function isUnderway(acting: Acting): boolean {
  const { base } = acting.rig
  if (base === undefined) return false
  const { state } = base.session
  return state !== 'planned' && state !== 'finished' && state !== 'abandoned'
}

export const boardInjectors: { [name in keyof typeof boardFaults]: Injector } = {
  tickLate: {
    begin({ rig, strength }) {
      rig.ticking.heldUntilSeconds = rig.plant.pins.seconds + strength
    },
  },
  tickMissed: {
    begin({ rig, strength }) {
      rig.ticking.missedShare = strength
    },
    end({ rig }) {
      rig.ticking.missedShare = 0
    },
  },
  ticksAtOnce: {
    begin({ rig, strength }) {
      rig.ticking.extra = Math.round(strength) - 1
    },
  },
  wallClockJump: {
    begin({ rig, strength }) {
      const { pins } = rig.plant
      pins.wallOffsetSeconds = Math.max(0, pins.wallOffsetSeconds + strength)
    },
  },
  flashTorn: {
    begin({ rig, strength }) {
      rig.store.tearNext = true
      rig.tornDarkSeconds = strength
    },
  },
  flashBitRot: {
    begin({ rig, strength }) {
      rig.store.rot(0, rig.store.bytes, Math.round(strength))
    },
  },
  flashWorn: {
    begin({ rig, strength }) {
      for (let i = 0; i < rig.store.worn.length; i++) rig.store.worn[i] = uniform(rig.random) < strength
    },
    end({ rig }) {
      rig.store.worn.fill(false)
    },
  },
  flashFull: {
    begin({ rig }) {
      rig.store.full = true
    },
    each({ rig }) {
      rig.store.full = true
    },
    end({ rig }) {
      rig.store.full = false
    },
  },
  memoryLow: resetting('unknown'),
  resetAtRandom: resetting('software'),
  powerCut: {
    begin({ rig, strength }) {
      if (uniform(rig.random) < 0.5) rig.plant.pins.wallOffsetSeconds = NaN
      reset(rig, 'power', strength)
    },
  },
  hang: {
    begin({ rig }) {
      rig.ticking.hung = rig.base !== undefined
    },
  },
  lineFlood: {
    begin() {},
    each(acting) {
      if (!isUnderway(acting)) return
      for (let i = 0; i < acting.strength; i++) sendToLine(acting.rig.plant.pins, request(acting))
    },
    end() {},
  },
  lineGarbage: {
    begin() {},
    each({ rig, strength }) {
      let bytes = ''
      for (let i = 0; i < strength; i++) bytes += String.fromCharCode(Math.floor(between(rig.random, 0, 256)))
      sendToLine(rig.plant.pins, bytes)
    },
    end() {},
  },
  lineHalfMessages: {
    begin() {},
    each(acting) {
      if (acting.rig.plant.steps % 5 !== 0 || !isUnderway(acting)) return
      const whole = request(acting)
      sendToLine(acting.rig.plant.pins, whole.slice(0, Math.ceil(whole.length * acting.strength)))
    },
    end() {},
  },
  lineUnplugged: {
    begin(acting) {
      const { rig } = acting
      rig.lineRead = false
      sendToLine(rig.plant.pins, `${RECORD}${REQUESTS[4] as string}${END}${RECORD}{"jsonrpc":"2.0","id":9,"meth`)
    },
    end({ rig }) {
      rig.lineRead = true
    },
  },
  afarHold: {
    begin(acting) {
      acting.rig.asked.hold = acting.rig.plant.pins.seconds
      ask(acting, 'session.hold', { on: true })
    },
  },
  afarAdvance: {
    begin(acting) {
      acting.rig.asked.advance = acting.rig.plant.pins.seconds
      for (let i = 0; i < Math.round(acting.strength); i++) ask(acting, 'session.advance')
    },
  },
  afarAbandon: {
    begin(acting) {
      acting.rig.asked.abandon = acting.rig.plant.pins.seconds
      ask(acting, 'session.abandon', { confirm: true })
    },
  },
  afarRefused: {
    begin(acting) {
      if (isSurelyUnderway(acting)) oneOf(acting, REFUSED_IN_SESSION)
    },
  },
  afarHarmless: {
    begin(acting) {
      oneOf(acting, HARMLESS)
    },
  },
  afarTurn: {
    begin(acting) {
      ask(acting, 'motor.turn', { rpm: acting.strength, seconds: 5 })
    },
  },
  afarDark: {
    begin(acting) {
      ask(acting, 'session.dark', { seconds: acting.strength })
    },
  },
  afarWallClock: {
    begin(acting) {
      ask(acting, 'wallClock.set', { epochSeconds: acting.strength })
    },
  },
  screenGone: {
    begin({ rig }) {
      rig.panels.screenGone = true
      // A screen without power is dark until it is written anew.
      rig.panels.texts = []
    },
    each({ rig }) {
      rig.panels.screenGone = true
    },
    end({ rig }) {
      rig.panels.screenGone = false
    },
  },
  sounderGone: {
    begin({ rig }) {
      rig.panels.sounderGone = true
    },
    each({ rig }) {
      rig.panels.sounderGone = true
    },
    end({ rig }) {
      rig.panels.sounderGone = false
    },
  },
}
