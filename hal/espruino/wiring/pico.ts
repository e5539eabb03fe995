/**
 * The reference wiring: a Raspberry Pi Pico (RP2040). 12,000 variables and a file store of 256 kB: two slots.
 *
 * The engine calls only the store's own pages free, so the journal lies inside a file of the store. Pins 26 to 28 are
 * the analogue ones; the fourth, behind a third of the system voltage, is not used.
 */
import type { Wiring } from './wiring.ts'

export const pico: Wiring = {
  name: 'pico',
  board: 'Raspberry Pi Pico',
  chip: 'rp2040',
  slots: 2,
  serialPort: 'USB',
  clockKeptBy: 'memory',
  analog: { bits: 12, samples: 8, referenceVolts: 3.3 },
  probePin: 'D26',
  supply: { packPin: 'D27', upperOhms: 200000, lowerOhms: 100000, ampsPin: 'D28', voltsPerAmp: 1 },
  motor: {
    driver: 'twoPins',
    pulsePin: 'D10',
    backPin: 'D11',
    triggerPin: 'D12',
    holdSeconds: 0.3,
    hertz: 20000,
  },
  shaft: { pin: 'D14', edge: 'rising', prescale: 1, edgesPerSecondAtMost: 35 },
  tank: { pin: 'D15', edge: 'rising', prescale: 1, edgesPerSecondAtMost: 2 },
  buttons: { advancePin: 'D16', holdPin: 'D17', debounceMilliseconds: 5 },
  sounderPin: 'D18',
  screen: { bus: 'I2C1', sdaPin: 'D4', sclPin: 'D5', bitrate: 400000, address: 0x3c, controller: 'SSD1306' },
  // On the board itself: high while its USB socket is fed.
  externalPowerPin: 'D24',
  watchdog: { limitSeconds: 1, restSeconds: 8 },
  journal: { kind: 'file', bytes: 16384, blockBytes: 4096 },
  compactedBy: 'base',
  // RP2040 data sheet, watchdog REASON: bit 0 timer, bit 1 forced (the engine restarts so), none after power-on.
  restart: { address: 0x40058008, coded: false, watchdogBits: 1, softwareBits: 2, powerBits: 0 },
  // The check knows the RP2040's.
  pulseGroups: {},
}
