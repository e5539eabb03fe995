/** What every promise is checked with: the rig, what happened in this tick, and where a broken one is reported. */
import type { Base } from '../../../firmware/base.ts'
import { isExcused, type Play } from '../play.ts'
import type { Rig } from '../rig.ts'
import type { Broken, PromiseName } from './promise.ts'

export interface Watch {
  rig: Rig
  play: Play
  startSeconds: number
  /** Of the plant, in this tick. */
  nowSeconds: number
  /** Seconds since the tick before; 0 in a tick that came at once after another. */
  tickSeconds: number
  /** When a press last reached the board, of either button. */
  pressSeconds: number
  /** When the pack's volts last were what no sound pack gives. */
  packTroubleSeconds: number
  /** The first time that each promise was broken. */
  broken: Broken[]
  /** The promises that this session could have broken, because what they speak of came up. */
  judged: { [promise in PromiseName]: boolean }
  /** Developed baths whose bound was looked at at their end. */
  bounds: BoundCounts
  log: (words: string) => void
}

/** How many baths were looked at, and in how many progress was further off than the bound that the base stated. */
export interface BoundCounts {
  baths: number
  beyond: number
  /** The same where an alarm had said that the time is uncertain. */
  uncertainBaths: number
  uncertainBeyond: number
}

/** What this promise speaks of came up, and nothing excuses it: it is judged in this session. */
export function judge(watch: Watch, promise: PromiseName): void {
  if (!watch.judged[promise] && !isExcused(watch.play, promise, watch.nowSeconds)) watch.judged[promise] = true
}

/** A promise was not kept: noted once a session, unless a fault excuses it. */
export function broke(watch: Watch, promise: PromiseName, why: string): void {
  if (isExcused(watch.play, promise, watch.nowSeconds)) return
  watch.judged[promise] = true
  if (watch.broken.some(one => one.promise === promise)) return
  const atSeconds = Math.round((watch.nowSeconds - watch.startSeconds) * 10) / 10
  watch.broken.push({ promise, atSeconds, why })
  watch.log(`BROKEN ${promise}: ${why}`)
}

/** One group of promises: made with every session, looked at after every tick. */
export interface Check {
  /** After a tick of the base. */
  tick(watch: Watch, base: Base): void
  /** The base has started anew: what it knew is gone. */
  restarted?(watch: Watch): void
}
