/**
 * The two clocks. The engine has one, which counts from the start or from 1970 and jumps when somebody sets it; the
 * monotonic clock follows it but swallows the jumps. The wall clock is an offset to that, kept in memory, or the
 * engine's own where that runs on through a restart.
 */
import type { MonotonicClock, WallClock } from '../board.ts'
import { objectOption, wordOption } from '../options.ts'
import type { Engine } from './engine.ts'
import { EspruinoPart } from './part.ts'

/** A step forward by more than this was somebody setting the engine's clock: no tick, erase or compaction lasts so long. */
const JUMP_SECONDS = 600
/** The engine's clock shows a date when it is later than 2020-01-01; else it counts from the start. */
const DATE_SECONDS = 1577836800

export class EspruinoClock extends EspruinoPart implements MonotonicClock {
  private offsetSeconds = 0
  private lastSeconds: number

  constructor(options: { engine: Engine }) {
    super('clock', options)
    this.lastSeconds = this.engine.getTime()
    this.offsetSeconds = -this.lastSeconds
  }

  read(): number {
    this.mustBeOpen()
    const seconds = this.engine.getTime()
    const step = seconds - this.lastSeconds
    if (!(step >= 0 && step < JUMP_SECONDS)) this.offsetSeconds -= step
    this.lastSeconds = seconds
    return seconds + this.offsetSeconds
  }

  /** Somebody set the engine's clock: it is still `nowSeconds`. */
  jumped(nowSeconds: number): void {
    this.lastSeconds = this.engine.getTime()
    this.offsetSeconds = nowSeconds - this.lastSeconds
  }

  /** A moment of the engine's clock in seconds of this one: for the time stamp of an interrupt. */
  at(engineSeconds: number): number {
    return engineSeconds + this.offsetSeconds
  }
}

export class EspruinoWallClock extends EspruinoPart implements WallClock {
  private readonly clock: EspruinoClock
  private readonly kept: boolean
  private offsetSeconds = NaN

  /** `keptBy` says where the time is: in the `engine`, whose clock runs on through a restart, or in `memory` until then. */
  constructor(options: { engine: Engine; clock: EspruinoClock; keptBy: 'engine' | 'memory' }) {
    super('wall clock', options)
    this.clock = objectOption<EspruinoClock>('wall clock', options, 'clock')
    this.kept = wordOption('wall clock', options, 'keptBy', ['engine', 'memory']) === 'engine'
  }

  read(): number | undefined {
    this.mustBeOpen()
    if (this.kept) {
      const seconds = this.engine.getTime()
      return seconds > DATE_SECONDS ? seconds : undefined
    }
    return isNaN(this.offsetSeconds) ? undefined : this.clock.read() + this.offsetSeconds
  }

  write(epochSeconds: number): void {
    this.mustBeOpen()
    if (typeof epochSeconds !== 'number' || !(epochSeconds >= 0 && epochSeconds < 1e11)) {
      this.refuse(epochSeconds, '0 to 1e11 s since 1970')
    }
    const nowSeconds = this.clock.read()
    this.offsetSeconds = epochSeconds - nowSeconds
    if (!this.kept) return
    this.engine.setTime(epochSeconds)
    this.clock.jumped(nowSeconds)
  }
}
