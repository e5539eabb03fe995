/**
 * Lets the faults of a scenario happen: begins and ends them when their time has come, carries them out step by step, and
 * keeps account of what they excuse and which alarms they may have caused.
 */
import type { FaultKind } from './faultKind.ts'
import type { Acting } from './injector.ts'
import { INJECTORS } from './injectors.ts'
import type { Person } from './person.ts'
import type { PromiseName } from './promises/promise.ts'
import type { Rig } from './rig.ts'
import type { FaultEvent, Moment } from './scenario.ts'
import { alarmsOf, FAULTS, type FaultName } from './table.ts'

/** A fault that lasts. */
export interface Running {
  event: FaultEvent
  kind: FaultKind
  acting: Acting
  beganSeconds: number
  endsSeconds: number
  /** How long the base has been in a position to tell it; and whether it has. */
  tellableSeconds: number
  told: boolean
}

export interface Play {
  /** Events whose time is known, the next first (seconds of the plant); and those that wait for a moment. */
  due: { atSeconds: number; event: FaultEvent }[]
  waiting: FaultEvent[]
  running: Running[]
  /** How often each fault really began. */
  marks: { [name in FaultName]?: number }
  /** When a fault of the drive, the pack or the rotation was last there. */
  driveTroubleSeconds: number
  /** By number: a fault that may cause it has been there. */
  explained: Set<number>
  /** Until when each promise is excused. */
  excusedSeconds: { [promise in PromiseName]?: number }
  log: (words: string) => void
}

export function createPlay(rig: Rig, log: (words: string) => void): Play {
  const startSeconds = rig.plant.pins.seconds
  const { events } = rig.scenario
  return {
    due: events
      .filter(event => event.after === undefined)
      .map(event => ({ atSeconds: startSeconds + event.atSeconds, event }))
      .sort((a, b) => a.atSeconds - b.atSeconds),
    waiting: events.filter(event => event.after !== undefined),
    running: [],
    marks: {},
    driveTroubleSeconds: -Infinity,
    explained: new Set(),
    excusedSeconds: {},
    log,
  }
}

/** Before a step: faults whose time has come begin and end. */
export function beginAndEnd(play: Play, rig: Rig, person: Person): void {
  const nowSeconds = rig.plant.pins.seconds
  while (play.due.length > 0 && (play.due[0] as Play['due'][0]).atSeconds <= nowSeconds) {
    begin(play, rig, person, (play.due.shift() as Play['due'][0]).event)
  }
  for (let i = play.running.length - 1; i >= 0; i--) {
    const running = play.running[i] as Running
    if (nowSeconds >= running.endsSeconds) end(play, running, i)
  }
}

/** After the plant's step: what lasts does its work. */
export function act(play: Play): void {
  for (let i = 0; i < play.running.length; i++) {
    const { event, acting } = play.running[i] as Running
    INJECTORS[event.fault].each?.(acting)
  }
}

/** A moment of the session has come: what waited for it gets its time. */
export function noteMoment(play: Play, moment: Moment, bathIndex: number, nowSeconds: number): void {
  for (let i = play.waiting.length - 1; i >= 0; i--) {
    const event = play.waiting[i] as FaultEvent
    if (event.after?.moment !== moment || event.after.bathIndex !== bathIndex) continue
    play.waiting.splice(i, 1)
    play.due.push({ atSeconds: nowSeconds + event.atSeconds, event })
    play.due.sort((a, b) => a.atSeconds - b.atSeconds)
  }
}

/** The faults are over: what runs ends, what was still to come does not. */
export function endAll(play: Play): void {
  play.due = []
  play.waiting = []
  for (let i = play.running.length - 1; i >= 0; i--) end(play, play.running[i] as Running, i)
}

export function isExcused(play: Play, promise: PromiseName, nowSeconds: number): boolean {
  const until = play.excusedSeconds[promise]
  return until !== undefined && nowSeconds <= until
}

function begin(play: Play, rig: Rig, person: Person, event: FaultEvent): void {
  const kind: FaultKind = FAULTS[event.fault]
  const nowSeconds = rig.plant.pins.seconds
  const acting: Acting = { rig, person, strength: event.strength, kept: 0 }
  play.log(`fault ${event.fault}${kind.unit === '' ? '' : ` ${event.strength} ${kind.unit}`} begins`)
  play.marks[event.fault] = (play.marks[event.fault] ?? 0) + 1
  for (const number of alarmsOf(kind)) play.explained.add(number)
  INJECTORS[event.fault].begin(acting)
  const lasts = event.lastsSeconds > 0
  for (const [promise, afterSeconds] of Object.entries(kind.excuses ?? {}) as [PromiseName, number][]) {
    excuse(play, promise, lasts ? Infinity : nowSeconds + afterSeconds)
  }
  if (isOfDrive(kind)) play.driveTroubleSeconds = lasts ? Infinity : nowSeconds
  if (!lasts) return
  const endsSeconds = nowSeconds + event.lastsSeconds
  play.running.push({ event, kind, acting, beganSeconds: nowSeconds, endsSeconds, tellableSeconds: 0, told: false })
}

function end(play: Play, running: Running, place: number): void {
  const { event, kind, acting } = running
  const nowSeconds = acting.rig.plant.pins.seconds
  play.running.splice(place, 1)
  INJECTORS[event.fault].end?.(acting)
  play.log(`fault ${event.fault} ends`)
  for (const [promise, afterSeconds] of Object.entries(kind.excuses ?? {}) as [PromiseName, number][]) {
    const isStill = play.running.some(other => other.kind.excuses?.[promise] !== undefined)
    if (!isStill) play.excusedSeconds[promise] = nowSeconds + afterSeconds
  }
  if (!isOfDrive(kind)) return
  play.driveTroubleSeconds = play.running.some(other => isOfDrive(other.kind)) ? Infinity : nowSeconds
}

function excuse(play: Play, promise: PromiseName, untilSeconds: number): void {
  play.excusedSeconds[promise] = Math.max(play.excusedSeconds[promise] ?? -Infinity, untilSeconds)
}

function isOfDrive(kind: FaultKind): boolean {
  return kind.group === 'rotation' || kind.group === 'rollers' || kind.group === 'motor' || kind.group === 'pack'
}
