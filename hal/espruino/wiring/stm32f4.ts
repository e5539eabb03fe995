/**
 * A board of the STM32F4 class with the engine on it: here the pins of a 48-pin STM32F411 module with 512 kB of flash.
 * One page of 64 kB is the engine's file store, so there is one slot; three pages of 16 kB behind the boot loader belong
 * to nobody and take the journal.
 *
 * Watched pins must differ in their number: A4 and B4 would share one interrupt. B6 and B7 stay free: the prompt moves there
 * when no USB is plugged in. Compaction takes as much memory as the store's one page has, so the laptop does it.
 */
import type { Wiring } from './wiring.ts'

export const stm32f4: Wiring = {
  name: 'stm32f4',
  board: 'STM32F411 board with the interpreter on it',
  chip: 'stm32f4',
  slots: 1,
  serialPort: 'USB',
  clockKeptBy: 'chip',
  analog: { bits: 12, samples: 8, referenceVolts: 0 },
  probePin: 'A0',
  supply: { packPin: 'A1', upperOhms: 200000, lowerOhms: 100000, ampsPin: 'A4', voltsPerAmp: 1 },
  motor: { driver: 'twoPins', pulsePin: 'A6', backPin: 'A7', hertz: 20000 },
  shaft: { pin: 'B13', edge: 'rising', prescale: 1, edgesPerSecondAtMost: 35 },
  tank: { pin: 'B14', edge: 'rising', prescale: 1, edgesPerSecondAtMost: 2 },
  buttons: { advancePin: 'B0', holdPin: 'B1', debounceMilliseconds: 5 },
  sounderPin: 'B10',
  screen: { bus: 'I2C1', sdaPin: 'B9', sclPin: 'B8', bitrate: 400000, address: 0x3c, controller: 'SSD1306' },
  // Senses the USB socket's 5 V on such boards.
  externalPowerPin: 'A9',
  watchdog: { limitSeconds: 1, restSeconds: 8 },
  journal: { kind: 'pages', address: 0x08004000, bytes: 49152, blockBytes: 16384 },
  compactedBy: 'laptop',
  // Reference manual RM0383, RCC_CSR: bit 29 watchdog, 28 software, 27 power-on, 25 brown-out. The pin's bit comes with all.
  restart: {
    address: 0x40023874,
    coded: false,
    watchdogBits: 0x20000000,
    softwareBits: 0x10000000,
    powerBits: 0x0a000000,
  },
  pulseGroups: { A6: 'timer 3', A7: 'timer 3', B10: 'timer 2' },
}
