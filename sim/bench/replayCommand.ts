/**
 * The `replay` command: a pulled journal or a temperature trace through today's firmware, and where it would have acted
 * otherwise. What a file is, its content says.
 */
import { RECORD_VERSION } from '../../firmware/journal/record.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { isJournal, JOURNAL_BYTES_AT_MOST, type JournalFile, parseJournal } from '../field/journalFile.ts'
import { hasDetails, type RecordedSession, sessionsOf } from '../field/recorded.ts'
import { DEFAULT_RECIPE, runByPlan } from './defaults.ts'
import { InputError } from './inputError.ts'
import { type Loadout, loadAll } from './options.ts'
import { csvText, readWhole } from './readWhole.ts'
import { EDGE_KELVIN } from './replayAlarms.ts'
import { type Comparison, compare } from './replayCompare.ts'
import { firstWholeBath, inputsOf } from './replayInputs.ts'
import { type ReplayToday, replaySession } from './replayRun.ts'
import { listText, replayText } from './replayText.ts'
import { replayTrace, traceText } from './replayTrace.ts'
import { shippedRecipes } from './shippedRecipes.ts'
import { parseTrace } from './trace.ts'

export interface ReplayOptions {
  recipe?: string
  tank?: string
  base?: string
  session?: number
  list?: boolean
  room?: number
  films?: number
  json?: boolean
  strict?: boolean
}

const DIFFERENT = 3
const HEADER = 'seconds,bathCelsius[,ambientCelsius]'
const TRACE_BEGINS = /^\uFEFF?\s*"?seconds\b/

/** Carries it out. Throws `InputError` for what cannot be used; returns the exit code. */
export function replayCommand(
  path: string,
  options: ReplayOptions,
  out: (text: string) => void,
  warn: (text: string) => void,
): number {
  const bytes = readWhole(path, JOURNAL_BYTES_AT_MOST)
  if (isJournal(bytes)) return journalReplay(path, parseJournal(bytes, path), options, out, warn)
  const text = csvText(bytes, path)
  if (!TRACE_BEGINS.test(text)) {
    throw new InputError([
      `${path}: neither a journal nor a temperature trace; allowed: a file that pull has written, or a CSV that ` +
        `begins with ${HEADER}`,
    ])
  }
  return traceReplay(path, text, options, out, warn)
}

function refuse(options: ReplayOptions, keys: (keyof ReplayOptions)[], why: string): void {
  const given = keys.filter(key => options[key] !== undefined)
  if (given.length > 0) throw new InputError(given.map(key => `--${key}: ${why}; leave it out`))
}

function traceReplay(
  path: string,
  text: string,
  options: ReplayOptions,
  out: (text: string) => void,
  warn: (text: string) => void,
): number {
  refuse(options, ['session', 'list'], 'a temperature trace has no sessions')
  const trace = parseTrace(text, path)
  const loadout = loadAll({ ...options, recipe: options.recipe ?? DEFAULT_RECIPE }, warn)
  const run = runByPlan({
    ...loadout,
    ...(options.room !== undefined && { roomCelsius: options.room }),
    ...(options.films !== undefined && { filmsThrough: options.films }),
  })
  const replay = replayTrace({ ...run, trace })
  out(
    options.json === true
      ? JSON.stringify({ kind: 'trace', ...replay }, null, 2)
      : traceText(replay, loadout.recipe, path),
  )
  return options.strict === true && !replay.same ? DIFFERENT : 0
}

function journalReplay(
  path: string,
  file: JournalFile,
  options: ReplayOptions,
  out: (text: string) => void,
  warn: (text: string) => void,
): number {
  refuse(options, ['room', 'films'], 'a journal says it itself')
  const sessions = sessionsOf(file.records)
  const others = file.records.filter(record => record.version !== RECORD_VERSION).length
  if (others > 0) {
    warn(
      `${path}: ${others} of its ${file.records.length} records are of another version than ${RECORD_VERSION} and are ` +
        'left out; the program that came with the firmware of that base reads them',
    )
  }
  if (options.list === true) {
    out(options.json === true ? listJson(file, sessions) : listText(sessions, file.serial))
    return 0
  }
  const recorded = pick(path, sessions, options.session)
  const loadout = loadFor(path, recorded, options, warn)
  const { comparison, recipe, firstBath } = replayRecorded(path, recorded, loadout)
  if (options.json === true) out(replayJson(file, recorded, recipe, firstBath, comparison))
  else out(replayText(recorded, file.serial, recipe, comparison))
  return options.strict === true && !comparison.same ? DIFFERENT : 0
}

/** The session that is asked for, or the newest that has its details. */
function pick(path: string, sessions: RecordedSession[], number: number | undefined): RecordedSession {
  const detailed = sessions.filter(session => hasDetails(session) && firstWholeBath(session) >= 0)
  const known = detailed.map(session => session.number).join(', ')
  const advice = detailed.length === 0 ? 'no session in it has its details' : `with their details: ${known}`
  if (number === undefined) {
    const newest = detailed[detailed.length - 1]
    if (newest !== undefined) return newest
    if (sessions.length === 0) throw new InputError([`${path}: no session in this journal; nothing to replay`])
    throw new InputError([
      `${path}: ${advice}, only summaries (--list shows them); pull soon after a session, before the next overwrite it`,
    ])
  }
  const asked = sessions.find(session => session.number === number)
  if (asked === undefined) {
    const all = sessions.map(session => session.number).join(', ')
    throw new InputError([`--session ${number}: not in ${path}; allowed: ${all === '' ? 'there is none' : all}`])
  }
  if (!hasDetails(asked)) {
    throw new InputError([`--session ${number}: only its summary is left (--list shows it); ${advice}`])
  }
  if (firstWholeBath(asked) < 0) {
    throw new InputError([`--session ${number}: no bath of it is whole (${asked.missing}); ${advice}`])
  }
  return asked
}

function loadFor(
  path: string,
  recorded: RecordedSession,
  options: ReplayOptions,
  warn: (text: string) => void,
): Loadout {
  const name = recorded.begun?.recipe ?? ''
  if (options.recipe === undefined && !shippedRecipes.some(recipe => recipe.name === name)) {
    throw new InputError([
      `${path}: session ${recorded.number} was of the recipe "${name}", which is none of those that ship; ` +
        'give its file: --recipe FILE',
    ])
  }
  const loadout = loadAll({ ...options, recipe: options.recipe ?? name }, warn)
  if (loadout.recipe.name !== name) {
    warn(`--recipe ${options.recipe}: its name is ${loadout.recipe.name}; the session was of ${name}`)
  }
  const baths = Math.max(...recorded.events.map(event => event.bathIndex)) + 1
  const count = loadout.recipe.baths.length
  if (baths > count || (recorded.summary?.finished === true && baths < count)) {
    warn(
      `${loadout.recipe.name}: today it has ${count} baths, the session had ${baths}; those that both have are compared`,
    )
  }
  return loadout
}

/** Carries it out with the baths as recorded and, where an alarm is at an edge, a little warmer and a little colder. */
export function replayRecorded(
  path: string,
  recorded: RecordedSession,
  { recipe, tank, base }: Loadout,
): { comparison: Comparison; recipe: Recipe; firstBath: number } {
  const { begun } = recorded
  const firstBath = firstWholeBath(recorded)
  if (begun === undefined || firstBath < 0 || firstBath >= recipe.baths.length) {
    throw new InputError([`${path}: today's ${recipe.name} has none of the baths of which everything is recorded`])
  }
  const { millilitres } = begun
  const inputs = inputsOf(recorded, firstBath, recipe.baths.length, { tank, millilitres })
  const setting = {
    recipe: { ...recipe, baths: recipe.baths.slice(firstBath) },
    tank,
    base,
    films: begun.films,
    filmsPerLitre: isNaN(begun.filmsPerLitre) ? 0 : begun.filmsPerLitre,
    millilitres: millilitres.length > firstBath ? millilitres.slice(firstBath) : millilitres.slice(-1),
  }
  let edges: ReplayToday[] | undefined
  const tries = {
    today: replaySession(inputs, setting),
    edges: () => {
      edges ??= [EDGE_KELVIN, -EDGE_KELVIN].map(kelvin => replaySession(inputs, setting, kelvin))
      return edges
    },
  }
  return { comparison: compare(recorded, inputs, recipe, tries), recipe, firstBath }
}

function replayJson(
  file: JournalFile,
  recorded: RecordedSession,
  recipe: Recipe,
  firstBath: number,
  comparison: Comparison,
): string {
  const { number, begun, whole, missing } = recorded
  const wallSeconds = isNaN(recorded.wallSeconds) ? null : recorded.wallSeconds
  const session = { number, wallSeconds, recipe: begun?.recipe, whole, missing }
  const document = { kind: 'journal', serial: file.serial, session, recipe: recipe.name, firstBath, ...comparison }
  return JSON.stringify(document, null, 2)
}

function listJson(file: JournalFile, sessions: RecordedSession[]): string {
  const list = sessions.map(session => ({
    number: session.number,
    wallSeconds: isNaN(session.wallSeconds) ? null : session.wallSeconds,
    recipe: session.begun?.recipe ?? session.summary?.recipe ?? null,
    films: session.begun?.films ?? session.summary?.films ?? null,
    details: hasDetails(session),
    whole: session.whole,
    missing: session.missing,
    summary: session.summary ?? null,
  }))
  return JSON.stringify({ kind: 'journal', serial: file.serial, sessions: list }, null, 2)
}
