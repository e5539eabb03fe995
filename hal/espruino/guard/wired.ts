/**
 * What the guard knows of its base: fixed when it is built, one guard for each wiring, because the guard must hold the
 * motor's pins low before there is any firmware to tell it which they are. The build puts the text of `guardFacts` in place
 * of the name `EVENBATH_GUARD`.
 */
import type { Wiring } from '../wiring/wiring.ts'
import { SLOT_FILES } from './slots.ts'

export interface GuardFacts {
  /** The engine's name of the port that the laptop is on. */
  port: string
  /** Pins that keep the motor still while they are low. */
  lowPins: string[]
  slotFiles: string[]
}

/** The facts of a wiring, as JSON. */
export function guardFacts(wiring: Wiring): string {
  const { pulsePin, backPin, triggerPin } = wiring.motor
  const facts: GuardFacts = {
    port: wiring.serialPort,
    lowPins: triggerPin === undefined ? [pulsePin, backPin] : [pulsePin, backPin, triggerPin],
    slotFiles: SLOT_FILES.slice(0, wiring.slots),
  }
  return JSON.stringify(facts)
}
