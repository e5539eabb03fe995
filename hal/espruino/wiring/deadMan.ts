/**
 * What stops the motor when the firmware hangs, and how fast, by what the wiring has: for the contract and the guide.
 */
import type { Wiring } from './wiring.ts'

/** A second when it hangs just after the watchdog was fed; the engine's timer stops it after half a second when only the control loop ends. */
export function deadManOf(wiring: Wiring): string {
  const hold = wiring.motor.holdSeconds
  return wiring.motor.triggerPin !== undefined && hold !== undefined
    ? 'monostable, ' + hold + ' s'
    : 'watchdog and pull-downs, ' + wiring.watchdog.limitSeconds + ' s'
}
