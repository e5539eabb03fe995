/**
 * The board as its wiring says: every part opened, nothing yet moving. What stands in the wiring was checked on the
 * laptop; a part that does not answer later reads as nothing. Throws only where the journal finds no flash.
 */
import type { AnalogInput, Board, Button, ResetCause, RotationCounter } from '../board.ts'
import { openClock, openWallClock } from './clocks.ts'
import type { Engine } from './engine.ts'
import { openFiles } from './files.ts'
import { journalInFile, journalInPages, openFlashStore } from './flash.ts'
import { openAnalogInput, openSupply } from './inputs.ts'
import { openLine } from './line.ts'
import { type EspruinoMotor, openMotor } from './motor.ts'
import { type EspruinoScreen, openScreen } from './screen.ts'
import { openSounder } from './sounder.ts'
import { openWatchdog } from './watchdog.ts'
import { openButton, openRotationCounter } from './watches.ts'
import { deadManOf } from './wiring/deadMan.ts'
import type { RestartRegister, RotationWiring, Wiring } from './wiring/wiring.ts'

export interface EspruinoBoard extends Board {
  readonly motor: EspruinoMotor
  readonly screen: EspruinoScreen
  /** Fed from outside, not from the pack; `undefined` where no pin tells. */
  externalPower(): boolean | undefined
}

export function openEspruinoBoard(engine: Engine, wiring: Wiring): EspruinoBoard {
  // The motor first: its pins are low before anything else can go wrong.
  const clock = openClock({ engine: engine })
  const watchdog = openWatchdog({
    engine: engine,
    limitSeconds: wiring.watchdog.limitSeconds,
    restSeconds: wiring.watchdog.restSeconds,
  })
  const drive = wiring.motor
  const motor = openMotor({
    engine: engine,
    watchdog: watchdog,
    driver: drive.driver,
    pulsePin: drive.pulsePin,
    backPin: drive.backPin,
    triggerPin: drive.triggerPin,
    hertz: drive.hertz,
    deadManSeconds: 0.5,
    deadManBy: deadManOf(wiring),
  })
  const analog = wiring.analog
  const thermistor = (pin: string): AnalogInput =>
    openAnalogInput({ engine: engine, pin: pin, bits: analog.bits, samples: analog.samples })
  const button = (pin: string): Button =>
    openButton({
      engine: engine,
      clock: clock,
      pin: pin,
      debounceMilliseconds: wiring.buttons.debounceMilliseconds,
    })
  const rotation = (sensor: RotationWiring | undefined): RotationCounter | undefined =>
    sensor === undefined
      ? undefined
      : openRotationCounter({
          engine: engine,
          clock: clock,
          pin: sensor.pin,
          edge: sensor.edge,
          prescale: sensor.prescale,
          edgesPerSecondAtMost: sensor.edgesPerSecondAtMost,
        })
  const pack = wiring.supply
  const look = wiring.screen
  const journal = wiring.journal
  const board = {
    clock: clock,
    wallClock: openWallClock({ engine: engine, clock: clock, keptBy: wiring.clockKeptBy }),
    probe: thermistor(wiring.probePin),
    room: wiring.roomPin === undefined ? undefined : thermistor(wiring.roomPin),
    advance: button(wiring.buttons.advancePin),
    hold: button(wiring.buttons.holdPin),
    shaft: rotation(wiring.shaft),
    tank: rotation(wiring.tank),
    supply: openSupply({
      engine: engine,
      packPin: pack.packPin,
      packRatio: (pack.upperOhms + pack.lowerOhms) / pack.lowerOhms,
      referenceVolts: analog.referenceVolts,
      ampsPin: pack.ampsPin,
      voltsPerAmp: pack.voltsPerAmp === undefined ? 1 : pack.voltsPerAmp,
    }),
    motor: motor,
    screen: openScreen({
      engine: engine,
      bus: look.bus,
      sdaPin: look.sdaPin,
      sclPin: look.sclPin,
      bitrate: look.bitrate,
      address: look.address,
      controller: look.controller,
    }),
    sounder: openSounder({ engine: engine, pin: wiring.sounderPin }),
    watchdog: watchdog,
    store: openFlashStore({
      engine: engine,
      motor: motor,
      address:
        journal.kind === 'file'
          ? journalInFile(engine, journal.bytes, journal.blockBytes)
          : journalInPages(engine, journal.address, journal.bytes),
      bytes: journal.bytes,
      blockBytes: journal.blockBytes,
    }),
    files: openFiles({ engine: engine }),
    line: openLine({ engine: engine, port: wiring.serialPort }),
    resetCause: resetCauseOf(engine, wiring.restart),
    crc32: (data: Uint8Array) => engine.E.CRC32(data) >>> 0,
    externalPower: () =>
      wiring.externalPowerPin === undefined ? undefined : engine.digitalRead(wiring.externalPowerPin) === 1,
    close: () => {
      motor.close()
      board.wallClock.close()
      board.probe.close()
      if (board.room !== undefined) board.room.close()
      board.advance.close()
      board.hold.close()
      if (board.shaft !== undefined) board.shaft.close()
      if (board.tank !== undefined) board.tank.close()
      board.supply.close()
      board.screen.close()
      board.sounder.close()
      watchdog.close()
      board.store.close()
      board.files.close()
      board.line.close()
      clock.close()
    },
  }
  return board
}

/** Why the chip started, by its own register. */
function resetCauseOf(engine: Engine, register: RestartRegister | undefined): ResetCause {
  if (register === undefined) return 'unknown'
  const raw = engine.peek32(register.address)
  const bits = register.coded ? 1 << (raw & 31) : raw
  if ((bits & register.watchdogBits) !== 0) return 'watchdog'
  if ((bits & register.softwareBits) !== 0) return 'software'
  const isPower =
    register.powerBits === 0
      ? (bits & (register.watchdogBits | register.softwareBits)) === 0
      : (bits & register.powerBits) !== 0
  return isPower ? 'power' : 'unknown'
}
