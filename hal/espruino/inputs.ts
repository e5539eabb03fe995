/**
 * What is measured: the thermistors and the pack, through the analogue converter. A sensor that is missing or broken
 * reads as nonsense, not as an error: the firmware judges it.
 */
import type { AnalogInput, Supply, SupplyReading } from '../board.ts'
import { CHECKS, checkOptions, from, mustBeOpen, PIN, PIN_OR_NONE } from './checks.ts'
import type { Engine } from './engine.ts'

/** A reference that has to be measured is measured once in so many readings: at ten a second, every six seconds. */
const READINGS_PER_REFERENCE = 64

export interface AnalogOptions {
  engine: Engine
  pin: string
  bits: number
  /** Conversions for one reading, which is their mean. */
  samples: number
}

/** A thermistor's divider hangs on the converter's own reference, which cancels out. */
export function openAnalogInput(options: AnalogOptions): AnalogInput {
  if (CHECKS) checkOptions('analog input', options, { pin: PIN, bits: from(8, 16), samples: from(1, 64) })
  const { engine, pin, samples, bits } = options
  const counts = Math.round(2 ** bits)
  let closed = false
  return {
    bits: bits,
    read: () => {
      if (CHECKS) mustBeOpen('analog input', closed)
      let sum = 0
      for (let i = samples; i > 0; i--) sum += engine.analogRead(pin)
      return isNaN(sum) ? undefined : Math.max(0, Math.min(counts - 1, (sum / samples) * counts))
    },
    close: () => {
      closed = true
    },
  }
}

export interface SupplyOptions {
  engine: Engine
  packPin: string
  /** Volts of the pack for one volt at the pin. */
  packRatio: number
  /** The converter's reference; 0 to have the engine measure it. */
  referenceVolts: number
  /** Of the current sense; `undefined` on a board without. */
  ampsPin?: string | undefined
  /** Volts at that pin for one ampere of the motor. */
  voltsPerAmp: number
}

export function openSupply(options: SupplyOptions): Supply {
  if (CHECKS) {
    checkOptions('supply', options, {
      packPin: PIN,
      packRatio: from(1, 20),
      referenceVolts: from(0, 5),
      ampsPin: PIN_OR_NONE,
      voltsPerAmp: from(0.01, 10),
    })
  }
  const { engine, packPin, packRatio, ampsPin, voltsPerAmp } = options
  const reading: SupplyReading = { packVolts: NaN, motorAmps: NaN }
  let referenceVolts = options.referenceVolts
  const isMeasured = referenceVolts === 0
  let readings = 0
  let closed = false
  return {
    read: () => {
      if (CHECKS) mustBeOpen('supply', closed)
      if (isMeasured && readings++ % READINGS_PER_REFERENCE === 0) {
        referenceVolts = engine.E.getAnalogVRef()
      }
      reading.packVolts = engine.analogRead(packPin) * referenceVolts * packRatio
      if (isNaN(reading.packVolts)) return undefined
      if (ampsPin !== undefined) reading.motorAmps = (engine.analogRead(ampsPin) * referenceVolts) / voltsPerAmp
      return reading
    },
    close: () => {
      closed = true
    },
  }
}
