/**
 * What a wiring file says: which pin of a board does what, and the facts of that board and its base that the code has to
 * know. The one place to change a pin. Checked on the laptop (`checkWiring.ts`), not on the board.
 */

/** Pins are the engine's names of them, as "D5" or "A0". */
export interface Wiring {
  /** a-z 0-9: names the bundle. */
  name: string
  /** The board, in words for the guide. */
  board: string
  chip: 'rp2040' | 'stm32f4' | 'esp32'
  /** Two where the board's store has room for two firmware slots, else one. */
  slots: 1 | 2
  /** The engine's name of the port that the laptop is on. */
  serialPort: 'USB' | 'Serial1'
  /** The engine's clock runs on through a restart. */
  clockKeptBy: 'chip' | 'memory'
  analog: {
    /** Resolution, the same as `adcBits` of the base file. */
    bits: number
    /** Conversions for one reading. */
    samples: number
    /** 0 where the engine measures its own reference. */
    referenceVolts: number
  }
  probePin: string
  roomPin?: string
  supply: {
    packPin: string
    /** Upper and lower resistor of the pack's divider. */
    upperOhms: number
    lowerOhms: number
    /** Output of the current sense, where there is one. */
    ampsPin?: string
    voltsPerAmp?: number
  }
  motor: {
    driver: 'twoPins' | 'pinAndDirection'
    /** Two pins: forwards. Pin and direction: the pulses. */
    pulsePin: string
    /** Two pins: backwards. Pin and direction: the direction. */
    backPin: string
    /** Triggers the retriggerable monostable that holds the driver's enable input. */
    triggerPin?: string
    /** How long the monostable holds. */
    holdSeconds?: number
    hertz: number
  }
  shaft?: RotationWiring
  tank?: RotationWiring
  buttons: { advancePin: string; holdPin: string; debounceMilliseconds: number }
  sounderPin: string
  screen: {
    bus: 'I2C1' | 'I2C2' | 'I2C3'
    sdaPin: string
    sclPin: string
    bitrate: number
    address: number
    controller: 'SSD1306' | 'SH1106'
  }
  /** High when the board is fed from its USB socket or mains; left out where no pin tells. */
  externalPowerPin?: string
  watchdog: {
    /** While the motor is driven. */
    limitSeconds: number
    /** At rest. */
    restSeconds: number
  }
  journal: JournalWiring
  /** Who may compact the engine's file store: the base, at rest, or only the laptop, where the base lacks the memory. */
  compactedBy: 'base' | 'laptop'
  /** Where the chip tells why it started; left out where it does not. */
  restart?: RestartRegister
  /** Pins whose pulses share one frequency, each group under a name of its own: a motor and a sounder in one do not go. */
  pulseGroups: { [pin: string]: string }
}

export interface RotationWiring {
  pin: string
  edge: 'rising' | 'falling' | 'both'
  /** 1, or what a counter chip in front of the pin divides by. */
  prescale: number
  /** Watched edges a second, behind that chip, at the base's highest speed; at most 50. */
  edgesPerSecondAtMost: number
}

export type JournalWiring =
  /** Whole pages that neither the engine nor its store uses. */
  | { kind: 'pages'; address: number; bytes: number; blockBytes: number }
  /** Whole pages inside one file of the engine's store. */
  | { kind: 'file'; bytes: number; blockBytes: number }

/** A register, and which of its bits mean what. `coded`: the low bits are a number n, taken as the bit 2^n. */
export interface RestartRegister {
  address: number
  coded: boolean
  watchdogBits: number
  softwareBits: number
  /** 0 where no bit at all means power. */
  powerBits: number
}

/** At most this many edges a second interrupt the interpreter for each sensor. */
export const MOST_EDGES_PER_SECOND = 50
