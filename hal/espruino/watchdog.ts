/**
 * The watchdog, fed by nothing but the control loop. Once fed for the first time it never sleeps again: a second while
 * the motor is driven, longer at rest, so that a person at the prompt or an erase of flash has time. No engine can turn
 * it off again, only the next start.
 */
import type { Watchdog } from '../board.ts'
import { numberOption } from '../options.ts'
import type { Engine } from './engine.ts'
import { EspruinoPart } from './part.ts'

export class EspruinoWatchdog extends EspruinoPart implements Watchdog {
  readonly limitSeconds: number
  private readonly restSeconds: number
  private armedSeconds = 0
  private wantedSeconds: number

  /** `limitSeconds` holds while the motor is driven, `restSeconds` while it is not. */
  constructor(options: { engine: Engine; limitSeconds: number; restSeconds: number }) {
    super('watchdog', options)
    this.limitSeconds = numberOption('watchdog', options, 'limitSeconds', 0.1, 1)
    this.restSeconds = numberOption('watchdog', options, 'restSeconds', 1, 60)
    this.wantedSeconds = this.restSeconds
  }

  write(fed: boolean): void {
    this.mustBeOpen()
    if (fed !== true) this.refuse(fed, 'true')
    if (this.armedSeconds !== this.wantedSeconds) this.arm()
    else this.engine.E.kickWatchdog()
  }

  /** The motor is about to be driven, or has come to rest. */
  follow(driven: boolean): void {
    this.wantedSeconds = driven ? this.limitSeconds : this.restSeconds
    // Tightened before the motor gets its first duty; loosened by the control loop, which so shows that it lives.
    if (driven) this.arm()
  }

  private arm(): void {
    this.armedSeconds = this.wantedSeconds
    this.engine.E.enableWatchdog(this.wantedSeconds, false)
  }
}
