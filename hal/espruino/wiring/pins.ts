/**
 * Every pin of a wiring with what it does: for the check, the guide's tables and the drawing, so that none of them can
 * forget one.
 */
import type { RotationWiring, Wiring } from './wiring.ts'

export type PinUse = 'analog' | 'pulses' | 'out' | 'watched' | 'bus' | 'sensed'

export interface PinRow {
  /** Where the wiring says it: `motor.pulsePin`. */
  field: string
  pin: string
  use: PinUse
  /** In words for the guide. */
  does: string
}

export function pinRows(wiring: Wiring): PinRow[] {
  const twoPins = wiring.motor.driver === 'twoPins'
  const rows: (PinRow | undefined)[] = [
    row('probePin', wiring.probePin, 'analog', 'probe: middle of its divider'),
    row('roomPin', wiring.roomPin, 'analog', 'room thermistor: middle of its divider'),
    row('supply.packPin', wiring.supply.packPin, 'analog', 'pack: middle of its divider'),
    row('supply.ampsPin', wiring.supply.ampsPin, 'analog', 'current sense of the driver'),
    row('motor.pulsePin', wiring.motor.pulsePin, 'pulses', twoPins ? 'driver: forwards' : 'driver: pulses'),
    twoPins
      ? row('motor.backPin', wiring.motor.backPin, 'pulses', 'driver: backwards')
      : row('motor.backPin', wiring.motor.backPin, 'out', 'driver: direction'),
    row('motor.triggerPin', wiring.motor.triggerPin, 'out', 'trigger of the monostable'),
    rotationRow('shaft', wiring.shaft, 'slotted disc at the motor shaft'),
    rotationRow('tank', wiring.tank, 'magnet on the tank'),
    row('buttons.advancePin', wiring.buttons.advancePin, 'watched', 'button: advance'),
    row('buttons.holdPin', wiring.buttons.holdPin, 'watched', 'button: hold'),
    row('sounderPin', wiring.sounderPin, 'pulses', 'sounder'),
    row('screen.sdaPin', wiring.screen.sdaPin, 'bus', 'screen: SDA'),
    row('screen.sclPin', wiring.screen.sclPin, 'bus', 'screen: SCL'),
    row('externalPowerPin', wiring.externalPowerPin, 'sensed', 'USB power is there (on the board itself)'),
  ]
  return rows.filter(one => one !== undefined)
}

function row(field: string, pin: string | undefined, use: PinUse, does: string): PinRow | undefined {
  return pin === undefined ? undefined : { field: field, pin: pin, use: use, does: does }
}

function rotationRow(field: string, sensor: RotationWiring | undefined, does: string): PinRow | undefined {
  if (sensor === undefined) return undefined
  const words = sensor.prescale > 1 ? does + ', through a counter that divides by ' + sensor.prescale : does
  return row(field + '.pin', sensor.pin, 'watched', words)
}
