/**
 * The work of `pull`: brings the journal of a base to a file and says in words what is new, what is missing, and what to do
 * next. Gives 0 when all that the base has is on disk, 2 when the base refuses; what stands in the way is thrown as
 * `LinkError` or `InputError`, and what had come until then is kept.
 */
import { portNamed } from '../link/flashCommand.ts'
import { type Link, openLink } from '../link/link.ts'
import { sessionIn } from '../link/meet.ts'
import { LinkError, noJournal, pullBroken, sessionRuns } from '../link/messages.ts'
import { ProgressLine } from '../link/progressLine.ts'
import { type Remote, RemoteError, remoteOver } from '../link/remote.ts'
import { refusalLines, whyNoAnswer } from '../link/talkCommand.ts'
import { WAITS, type Waits } from '../link/waits.ts'
import { type Pulled, pull } from './pull.ts'
import type { Span } from './pullAccount.ts'
import { wantedPath } from './pullFile.ts'
import { askOver, askTwice, GarbledError, isInSession } from './storeOverLine.ts'

export interface PullCommandOptions {
  port?: string
  /** A file, or a folder in which the file is called after the base. */
  to?: string
  json?: boolean
}

type Say = (line: string) => void

const DONE = 0
const REFUSED = 2

export async function pullCommand(
  options: PullCommandOptions,
  out: Say,
  words: Say,
  waits: Waits = WAITS,
): Promise<number> {
  const port = await portNamed(options.port)
  const link = await openLink(port)
  const remote = remoteOver(link, waits)
  const line = new ProgressLine(words)
  const startedAt = Date.now()
  try {
    const serial = await serialOf(remote, link)
    const path = wantedPath(options.to, serial)
    const report = (done: number, of: number): void => line.progress(`Pulling from base ${serial}`, done, of, kilobytes)
    const pulled = await pull({ ask: askOver(remote), serial, path, report })
    line.end()
    if (options.json === true) {
      const seconds = Math.round((Date.now() - startedAt) / 100) / 10
      out(JSON.stringify({ port, serial, seconds, ...pulled }, null, 2))
    }
    for (const said of outcome(pulled, serial)) words(said)
    return DONE
  } catch (thrown) {
    line.end()
    if (isInSession(thrown)) throw await whichSession(remote)
    if (thrown instanceof RemoteError) {
      for (const said of refusalLines('pull', thrown)) words(said)
      return REFUSED
    }
    if (thrown instanceof GarbledError) throw pullBroken(port)
    const why = await whyNoAnswer(thrown, link, waits)
    throw why instanceof LinkError && why.trouble === 'noAnswer' ? pullBroken(port) : why
  } finally {
    await link.close()
  }
}

/** Whose journal it is. Throws when this base is in a session or has none to give. */
async function serialOf(remote: Remote, link: Link): Promise<string> {
  const running = sessionIn(await remote.question('status'))
  if (running !== undefined) throw sessionRuns(running, 'pull')
  const { serial, kind, gives } = await askTwice(askOver(remote), 'describe', answer => {
    const { serial, kind, methods } = (answer ?? {}) as { serial?: unknown; kind?: unknown; methods?: unknown }
    const gives = Array.isArray(methods) && methods.includes('journal.read')
    return { serial: String(serial), kind: String(kind), gives }
  })
  if (!gives || kind === 'rehearsal' || !/^[!-~]{1,64}$/.test(serial)) throw noJournal(link.path, kind)
  return serial
}

async function whichSession(remote: Remote): Promise<LinkError> {
  const status = await remote.question('status').catch(() => undefined)
  return sessionRuns(sessionIn(status) ?? 'it has just begun', 'pull again')
}

function kilobytes(bytes: number): string {
  return `${(bytes / 1000).toFixed(1)} kB`
}

function counted(number: number, what: string): string {
  return `${number} ${what}${number === 1 ? '' : 's'}`
}

function spansIn(spans: Span[]): string {
  const texts = spans.map(([from, to]) => (from === to ? `${from}` : `${from} to ${to}`))
  const isOne = spans.length === 1 && spans[0]?.[0] === spans[0]?.[1]
  return `${isOne ? 'Record' : 'Records'} ${texts.join(', ')} ${isOne ? 'was' : 'were'}`
}

/** How it ended, for people: where it went, what is new, what is missing, what to do. */
export function outcome(pulled: Pulled, serial: string): string[] {
  const { file, instead, records, sessions, elsewhere, overwritten, damaged } = pulled
  const lines: string[] = []
  if (instead?.why === 'otherBase') {
    lines.push(
      `${instead.file} holds the journal of base ${instead.serial}; this is base ${serial}, so it went to ${file}.`,
    )
  }
  if (instead?.why === 'begunAnew') {
    lines.push(
      `The journal on the base does not go on where ${instead.file} ends: it was begun anew, and went to ${file}.`,
      `${instead.file} stays as it is.`,
    )
  }
  if (pulled.cutBytes > 0)
    lines.push(`An earlier pull had been broken off; its last ${pulled.cutBytes} bytes came again.`)
  const fresh = `${counted(records.new, 'new record')}, ${counted(sessions.new, 'new session')}`
  const total = `${file} now has ${counted(records.total, 'record')} of ${counted(sessions.total, 'session')}`
  lines.push(records.new === 0 ? `Nothing new on base ${serial}: ${total}.` : `${fresh}: ${total}.`)
  if (elsewhere.length > 0) {
    lines.push(`${spansIn(elsewhere)} pulled before, into another file, and the base no longer has them.`)
  }
  if (overwritten.length > 0) {
    lines.push(`${spansIn(overwritten)} overwritten before being pulled. Pull after each session to miss none.`)
  }
  if (damaged.length > 0) {
    lines.push(`${spansIn(damaged)} damaged on the base, and left out. A few are harmless; many mean worn flash.`)
  }
  if (pulled.disbelieved) {
    lines.push('The base did not believe that its records are safe here, and keeps them as long as it can. Pull again.')
  }
  if (sessions.total > 0) lines.push(`To look at a session: \`npm start --silent -- replay ${file}\`.`)
  return lines
}
