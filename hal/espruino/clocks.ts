/**
 * The two clocks. The engine has one, which counts from the start or from 1970 and jumps when somebody sets it; the
 * monotonic clock follows it but swallows the jumps. The wall clock is an offset to that, kept in memory, or the
 * engine's own where that runs on through a restart.
 */
import type { MonotonicClock, WallClock } from '../board.ts'
import { CHECKS, checkOptions, mustBe, mustBeOpen, OBJECT, oneOf } from './checks.ts'
import type { Engine } from './engine.ts'

/** A step forward by more than this was somebody setting the engine's clock: no tick, erase or compaction lasts so long. */
const JUMP_SECONDS = 600
/** The engine's clock shows a date when it is later than 2020-01-01; else it counts from the start. */
const DATE_SECONDS = 1577836800

export interface EspruinoClock extends MonotonicClock {
  read(): number
  /** A moment of the engine's clock in seconds of this one: for the time stamp of an interrupt. */
  at(engineSeconds: number): number
  /** Sets the engine's clock, and goes on as if nothing had happened. */
  setEngine(epochSeconds: number): void
}

export function openClock(options: { engine: Engine }): EspruinoClock {
  if (CHECKS) checkOptions('clock', options, {})
  const engine = options.engine
  let offsetSeconds = -engine.getTime()
  let lastSeconds = 0
  let closed = false

  const read = (): number => {
    if (CHECKS) mustBeOpen('clock', closed)
    const seconds = engine.getTime() + offsetSeconds
    if (!(seconds >= lastSeconds && seconds < lastSeconds + JUMP_SECONDS)) offsetSeconds += lastSeconds - seconds
    else lastSeconds = seconds
    return lastSeconds
  }
  return {
    read: read,
    at: engineSeconds => engineSeconds + offsetSeconds,
    setEngine: epochSeconds => {
      const nowSeconds = read()
      engine.setTime(epochSeconds)
      offsetSeconds = nowSeconds - epochSeconds
    },
    close: () => {
      closed = true
    },
  }
}

export interface WallClockOptions {
  engine: Engine
  clock: EspruinoClock
  /** Where the time is: in the `chip`, whose clock runs on through a restart, or in `memory` until then. */
  keptBy: 'chip' | 'memory'
}

export function openWallClock(options: WallClockOptions): WallClock {
  if (CHECKS) checkOptions('wall clock', options, { clock: OBJECT, keptBy: oneOf(['chip', 'memory']) })
  const clock = options.clock
  const inChip = options.keptBy === 'chip'
  let offsetSeconds = NaN
  let closed = false
  return {
    read: () => {
      if (CHECKS) mustBeOpen('wall clock', closed)
      const seconds = inChip ? options.engine.getTime() : clock.read() + offsetSeconds
      return inChip ? (seconds > DATE_SECONDS ? seconds : undefined) : isNaN(seconds) ? undefined : seconds
    },
    write: epochSeconds => {
      if (CHECKS) mustBeOpen('wall clock', closed)
      const good = typeof epochSeconds === 'number' && epochSeconds >= 0 && epochSeconds < 1e11
      if (CHECKS) mustBe('wall clock', good, epochSeconds, '0 to 1e11 s since 1970')
      if (!good) return
      if (inChip) clock.setEngine(epochSeconds)
      else offsetSeconds = epochSeconds - clock.read()
    },
    close: () => {
      closed = true
    },
  }
}
