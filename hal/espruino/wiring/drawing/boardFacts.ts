/**
 * How each board calls its pins and its supply in print, for the guide's tables and drawings. The engine's names are in
 * the wiring; these are the ones on the board.
 */
import type { Wiring } from '../wiring.ts'

export interface BoardFacts {
  /** Where the step-down converter's 5 V goes in, through a Schottky diode so that a laptop's 5 V does not flow back. */
  feed: string
  /** Supply of sensors and screen. */
  logic: string
  /** What the thermistors' dividers hang on. */
  reference: string
  /** The board's name of a pin, with its place where boards agree on that. */
  printed(pin: string): string
}

/** Raspberry Pi Pico data sheet, pinout: header pin of each GPIO. */
const PICO_HEADER: { [pin: string]: number } = {
  D0: 1,
  D1: 2,
  D2: 4,
  D3: 5,
  D4: 6,
  D5: 7,
  D6: 9,
  D7: 10,
  D8: 11,
  D9: 12,
  D10: 14,
  D11: 15,
  D12: 16,
  D13: 17,
  D14: 19,
  D15: 20,
  D16: 21,
  D17: 22,
  D18: 24,
  D19: 25,
  D20: 26,
  D21: 27,
  D22: 29,
  D26: 31,
  D27: 32,
  D28: 34,
}

const FACTS: { [chip: string]: BoardFacts } = {
  rp2040: {
    feed: 'VSYS (pin 39)',
    logic: '3V3 (pin 36)',
    reference: 'ADC_VREF (pin 35)',
    printed: pin => {
      const header = PICO_HEADER[pin]
      return 'GP' + pin.substring(1) + (header === undefined ? ', on the board' : ', pin ' + header)
    },
  },
  stm32f4: {
    feed: '5V',
    logic: '3V3',
    reference: '3V3 (VDDA)',
    printed: pin => 'P' + pin,
  },
  esp32: {
    feed: '5V (VIN)',
    logic: '3V3',
    reference: '3V3',
    printed: pin => 'GPIO ' + pin.substring(1),
  },
}

export function boardFacts(wiring: Wiring): BoardFacts {
  return FACTS[wiring.chip]
}
