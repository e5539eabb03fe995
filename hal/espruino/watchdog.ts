/**
 * The watchdog, fed by nothing but the control loop. Once fed for the first time it never sleeps again: a second while
 * the motor is driven, longer at rest, so that a person at the prompt or an erase of flash has time. No engine can turn
 * it off again, only the next start.
 */
import type { Watchdog } from '../board.ts'
import { CHECKS, checkOptions, from, mustBe, mustBeOpen } from './checks.ts'
import type { Engine } from './engine.ts'

export interface WatchdogOptions {
  engine: Engine
  /** While the motor is driven. */
  limitSeconds: number
  /** While it is not. */
  restSeconds: number
}

export interface EspruinoWatchdog extends Watchdog {
  /** The motor is about to be driven, or has come to rest. */
  follow(driven: boolean): void
}

export function openWatchdog(options: WatchdogOptions): EspruinoWatchdog {
  if (CHECKS) checkOptions('watchdog', options, { limitSeconds: from(0.1, 1), restSeconds: from(1, 60) })
  const { limitSeconds, restSeconds } = options
  const E = options.engine.E
  let armedSeconds = 0
  let wantedSeconds = restSeconds
  let closed = false

  const arm = (): void => {
    armedSeconds = wantedSeconds
    E.enableWatchdog(wantedSeconds, false)
  }
  return {
    limitSeconds: limitSeconds,
    write: fed => {
      if (CHECKS) mustBeOpen('watchdog', closed)
      if (CHECKS) mustBe('watchdog', fed === true, fed, 'true')
      if (armedSeconds === wantedSeconds) E.kickWatchdog()
      else arm()
    },
    follow: driven => {
      wantedSeconds = driven ? limitSeconds : restSeconds
      // Tightened before the motor gets its first duty; loosened by the control loop, which so shows that it lives.
      if (driven) arm()
    },
    close: () => {
      closed = true
    },
  }
}
