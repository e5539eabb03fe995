/**
 * An ESP32 development board. The laptop is on its first serial port, behind a converter chip, which has no flow
 * control. Its converter bends towards both ends (up to 0.1 V), so the probe needs its three-point calibration here.
 *
 * Pins 34 to 39 only take in and have no pull-ups; 25 and 26 give a voltage in place of pulses; 6 to 11 belong to the
 * flash; 0, 2, 5, 12 and 15 have a say in how the chip starts. The engine pulls its pins up at the start, about 45 kOhm:
 * the driver's pull-downs of 4.7 kOhm win against that.
 */
import type { Wiring } from './wiring.ts'

export const esp32: Wiring = {
  name: 'esp32',
  board: 'ESP32 development board',
  chip: 'esp32',
  slots: 2,
  serialPort: 'Serial1',
  clockKeptBy: 'memory',
  analog: { bits: 12, samples: 16, referenceVolts: 3.3 },
  probePin: 'D34',
  supply: { packPin: 'D35', upperOhms: 270000, lowerOhms: 100000, ampsPin: 'D36', voltsPerAmp: 1 },
  motor: { driver: 'twoPins', pulsePin: 'D27', backPin: 'D4', hertz: 20000 },
  shaft: { pin: 'D32', edge: 'rising', prescale: 1, edgesPerSecondAtMost: 35 },
  tank: { pin: 'D33', edge: 'rising', prescale: 1, edgesPerSecondAtMost: 2 },
  buttons: { advancePin: 'D18', holdPin: 'D19', debounceMilliseconds: 5 },
  sounderPin: 'D23',
  screen: { bus: 'I2C1', sdaPin: 'D21', sclPin: 'D22', bitrate: 400000, address: 0x3c, controller: 'SSD1306' },
  watchdog: { limitSeconds: 1, restSeconds: 30 },
  journal: { kind: 'pages', address: 0x310000, bytes: 32768, blockBytes: 4096 },
  compactedBy: 'laptop',
  // Technical reference manual, RTC_CNTL_RESET_STATE, low bits for the first core: 1 power, 15 brown-out, 3 software, 7 to
  // 9, 13 and 16 watchdogs. The watchdog that the engine uses ends in 12, and so does a restart on purpose: unknown.
  restart: { address: 0x3ff48034, coded: true, watchdogBits: 0x12380, softwareBits: 0x8, powerBits: 0x8002 },
  pulseGroups: { D27: 'motor', D4: 'motor', D23: 'sounder' },
}
