/**
 * Every method of the console: its name, its parameters, whether only at rest, and what it does.
 *
 * Parameters are checked against the table before a method runs; whatever a method throws is an internal error. From
 * afar nothing turns the motor: what would turn it waits for a press on the base.
 */
import type { Base } from '../base.ts'
import { type Fields, own } from '../recipe/ownKeys.ts'
import { tellDark } from '../resume.ts'
import { abandonNeedsPress, askAbandon, askAdvance, mayHold } from '../session/afar.ts'
import { foremost } from '../session/alarms.ts'
import { ALARMS } from '../session/alarmTable.ts'
import { AFAR_SECONDS, askTurnTest, awaitsStart, say } from '../session/turnTest.ts'
import { CALIBRATION_PARAMS, getCalibration, setCalibration } from './calibration.ts'
import { type Console, fail, REFUSED } from './consoleState.ts'
import { listJournal, PULLED_PARAMS, READ_PARAMS, readJournal, takePulled } from './journalMethods.ts'
import { START_PARAMS, startSession, waitsFor } from './planned.ts'
import { askPrompt } from './prompt.ts'
import { getRecipe, listRecipes, putRecipe, removeRecipe } from './recipes.ts'
import { statusOf } from './status.ts'

export interface Method {
  name: string
  /** Gives the result; or `fail`s. */
  run(line: Console, base: Base, params: Fields): unknown
  /** As `params.ts` reads them. */
  params: string[]
  /** Refused in a session and while the motor turns for a test. */
  atRest: boolean
}

const NAME = ['name text 1 to 24']

function anyTime(name: string, run: Method['run'], params: string[]): Method {
  return { name: name, run: run, params: params, atRest: false }
}

function atRest(name: string, run: Method['run'], params: string[]): Method {
  return { name: name, run: run, params: params, atRest: true }
}

export const METHODS: Method[] = [
  anyTime('describe', describeBase, []),
  anyTime('status', statusOf, []),
  anyTime('recipe.list', listRecipes, []),
  anyTime('recipe.get', getRecipe, NAME),
  atRest('recipe.put', putRecipe, ['recipe any', 'checkedBy? text 1 to 24']),
  atRest('recipe.remove', removeRecipe, NAME),
  atRest('session.start', startSession, START_PARAMS),
  anyTime('session.advance', advance, []),
  anyTime('session.hold', hold, ['on flag']),
  anyTime('session.abandon', abandon, ['confirm flag']),
  anyTime('session.dark', sayDark, ['seconds number 0 to 7200']),
  anyTime('calibration.get', getCalibration, []),
  atRest('calibration.set', setCalibration, CALIBRATION_PARAMS),
  atRest('motor.turn', turnMotor, ['rpm number 5 to 120', 'seconds number 1 to 60']),
  anyTime('wallClock.set', setWallClock, ['epochSeconds number 0 to 99999999999']),
  anyTime('telemetry.follow', follow, ['everySeconds whole 0 to 60']),
  atRest('journal.list', listJournal, []),
  atRest('journal.read', readJournal, READ_PARAMS),
  atRest('journal.pulled', takePulled, PULLED_PARAMS),
  atRest('rehearse', rehearse, ['motor? flag']),
  anyTime('prompt', askPrompt, []),
]

const TAKEN = { taken: true }

function sayDark(line: Console, base: Base, params: Fields): unknown {
  return tellDark(base, own(params, 'seconds') as number) ? TAKEN : fail(line, REFUSED, 'No bath here was in the dark')
}

function describeBase(line: Console, base: Base): unknown {
  const who = line.options.identity
  const names: string[] = []
  for (let i = 0; i < METHODS.length; i++) names.push(METHODS[i].name)
  return {
    base: 'evenbath',
    version: who.version,
    wiring: who.wiring,
    serial: who.serial,
    kind: who.kind,
    slot: who.slot,
    good: who.good(),
    recipe: base.session.recipe.name,
    methods: names,
    protocol: 1,
    ignored: line.ignored,
    lostBytes: base.board.line.lostBytes,
  }
}

function advance(line: Console, base: Base): unknown {
  const refusal = askAdvance(base.session, base.estimates.nowSeconds)
  return refusal === '' ? TAKEN : fail(line, REFUSED, refusal)
}

function hold(line: Console, base: Base, params: Fields): unknown {
  const session = base.session
  if (own(params, 'on') === true) {
    if (!mayHold(session)) return fail(line, REFUSED, 'The tank does not turn')
    session.afar = 'hold'
    return TAKEN
  }
  if (session.want !== 'rest') return fail(line, REFUSED, 'Not held')
  say(session, 'Asked from afar: press hold to go on', base.estimates.nowSeconds + AFAR_SECONDS)
  return waitsFor('hold')
}

function abandon(line: Console, base: Base, params: Fields): unknown {
  const session = base.session
  if (own(params, 'confirm') !== true) return fail(line, REFUSED, 'Only with confirm: true')
  if (session.state === 'finished' || session.state === 'abandoned') return fail(line, REFUSED, 'It is over')
  if (abandonNeedsPress(session)) {
    askAbandon(session, base.estimates.nowSeconds)
    return waitsFor('hold')
  }
  session.afar = 'abandon'
  return TAKEN
}

function turnMotor(line: Console, base: Base, params: Fields): unknown {
  const place = foremost(base.session.alarms)
  if (place >= 0) return fail(line, REFUSED - ALARMS[place].number, ALARMS[place].short)
  if (awaitsStart(base.turnTest, base.session, base.estimates.nowSeconds)) {
    return fail(line, REFUSED, 'A start waits for that press')
  }
  const most = base.file.drive.mostRpm
  const rpm = own(params, 'rpm') as number
  if (rpm > most) return fail(line, REFUSED, 'rpm: this base turns at most at ' + most)
  askTurnTest(base.turnTest, base.session, rpm, own(params, 'seconds') as number, base.estimates.nowSeconds)
  return waitsFor('advance')
}

function setWallClock(_line: Console, base: Base, params: Fields): unknown {
  base.board.wallClock.write(own(params, 'epochSeconds') as number)
  return { epochSeconds: base.board.wallClock.read() }
}

function follow(line: Console, base: Base, params: Fields): unknown {
  line.everySeconds = own(params, 'everySeconds') as number
  line.dueSeconds = line.everySeconds > 0 ? base.estimates.nowSeconds : Infinity
  return { everySeconds: line.everySeconds }
}

function rehearse(line: Console, base: Base, params: Fields): unknown {
  const run = line.options.rehearse
  if (run === undefined) return fail(line, REFUSED, 'Flash the rehearsal bundle')
  return run(base, own(params, 'motor') === true)
}
