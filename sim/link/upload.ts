/**
 * Upload of a firmware into the slot that the guard would not start, over a line that may fail at any moment. Order, so
 * that the base can start at every moment in between: the text into the free slot, its CRC, then the guard (only if it is
 * missing or another), and the seal last; not before the seal is whole does the slot exist. Then a restart, and a wait
 * for the firmware's first healthy minute.
 *
 * Interrupted anywhere, running it again finishes: pieces that are there and right are kept, a slot that holds anything
 * else is begun anew, a firmware that already runs is only waited for. Throws `LinkError` with what to do.
 *
 * The guard is written to a file of its own first, checked there, and then put in place by one write on the board. That
 * write is the only moment of danger: a power cut within it (some tens of milliseconds) leaves a base that starts
 * to the plain prompt, motor off, slots whole; running the upload again mends it.
 */

import {
  GUARD_FILE,
  makeSeal,
  nextSequence,
  parseSlot,
  SLOT_FILES,
  type Slot,
  slotToFill,
  slotToStart,
  TRAILER_BYTES,
} from '../../hal/espruino/guard/slots.ts'
import { BoardStore, type Piece, piecesOf } from './boardStore.ts'
import { type BundleText, hex8 } from './bundles.ts'
import { type Link, pause } from './link.ts'
import { boardLost, crcDiffers, LinkError, pulled, sessionRuns, storeRefused } from './messages.ts'
import { BoardError, crcOf, type Greeting, greet, noGreeting, type Prompt, promptOver } from './prompt.ts'
import { type Remote, RemoteError, remoteOver } from './remote.ts'
import type { Waits } from './waits.ts'

/** Where the guard waits for its one write into place. */
const GUARD_DRAFT = 'eb.g'

/** What is going on, for whoever shows it. */
export type UploadStep =
  | { step: 'found'; board: string; engineVersion: string; firmware: string | undefined }
  | { step: 'tidying' }
  | { step: 'writing'; slot: string; doneBytes: number; ofBytes: number; keptBytes: number }
  | { step: 'guard' }
  | { step: 'sealed'; slot: string }
  | { step: 'present'; slot: string }
  | { step: 'restarting' }
  | { step: 'waiting'; elapsedSeconds: number }

/** How it ended on the base. */
export type UploadEnd =
  /** The firmware runs and has had its healthy minute. */
  | 'healthy'
  /** The caller did not want to wait; it was restarted. */
  | 'notAwaited'
  /** The base runs another firmware than the one uploaded. */
  | 'fellBack'
  /** It runs, and has not had its healthy minute in the time allowed. */
  | 'notHealthy'
  /** The prompt answers, no firmware does. */
  | 'notStarted'
  /** Nothing answers. */
  | 'silent'

export interface UploadReport {
  end: UploadEnd
  slot: string
  sentBytes: number
  keptBytes: number
  guardWritten: boolean
  /** The version that runs now, if one answered. */
  runs: string | undefined
  /** What the board said when no firmware started. */
  said: string
}

export interface UploadOptions {
  /**
   * Bundle and guard for the board that was found, and how many slots it has (1 on a small one). Called before anything
   * is changed; throws when it is the wrong board.
   */
  choose(greeting: Greeting): { bundle: BundleText; guard: BundleText; slots: number }
  /** False: do not wait for the healthy minute. */
  await: boolean
  waits: Waits
  /** Opens the same port again, after a restart of the board has taken it away. The caller closes what it opened. */
  reopen(): Promise<Link>
  report(step: UploadStep): void
}

/** What `describe` tells that matters here. */
interface Description {
  version: string
  slot: string | undefined
  good: boolean
}

async function describe(remote: Remote, seconds: number): Promise<Description> {
  const found = (await remote.request('describe', undefined, seconds)) as Partial<Description> | null
  return {
    version: String(found?.version ?? '?'),
    slot: typeof found?.slot === 'string' ? found.slot : undefined,
    good: found?.good === true,
  }
}

/** States of `status` in which nothing is under way. */
const AT_REST = ['planned', 'finished', 'abandoned']

/** What a running session is called, from `status`; `undefined` at rest. */
function sessionIn(status: unknown): string | undefined {
  const { state, bath, testTurn } = (status ?? {}) as { state?: unknown; bath?: unknown; testTurn?: unknown }
  if (testTurn === 'running') return 'the motor turns for a test'
  if (typeof state !== 'string' || AT_REST.includes(state)) return undefined
  return typeof bath === 'string' ? `${bath}, ${state}` : state
}

/** Throws when a session runs. A firmware that says nothing cannot be in one: its watchdog would have restarted it. */
async function refuseInSession(remote: Remote): Promise<void> {
  let status: unknown
  try {
    status = await remote.question('status')
  } catch (thrown) {
    if (thrown instanceof RemoteError) return
    if (thrown instanceof LinkError && thrown.trouble === 'noAnswer') return
    throw thrown
  }
  const running = sessionIn(status)
  if (running !== undefined) throw sessionRuns(running)
}

/** Finds out who is at the other end; refuses in a session. Throws `LinkError`. */
async function meet(link: Link, remote: Remote, waits: Waits): Promise<Greeting> {
  let greeting = await greet(link, waits, false)
  if (greeting === undefined) {
    // In a session the firmware has the port and the prompt is silent.
    const status = await remote.request('status', undefined, waits.replySeconds).catch(thrown => {
      if (thrown instanceof LinkError && thrown.trouble === 'noAnswer') return undefined
      if (thrown instanceof RemoteError) return undefined
      throw thrown
    })
    const running = sessionIn(status)
    if (running !== undefined) throw sessionRuns(running)
    greeting = await greet(link, waits, true)
  }
  if (greeting === undefined) {
    await pause(waits.interruptSeconds)
    greeting = await greet(link, waits, true)
  }
  if (greeting === undefined) throw noGreeting(link)
  if (greeting.firmware) await refuseInSession(remote)
  return greeting
}

/** The slots as they lie on the board, and whether a slot's text agrees with its seal. */
interface BoardSlots {
  names: string[]
  slots: (Slot | undefined)[]
  isWhole(slot: Slot): boolean
}

async function slotsOf(store: BoardStore, count: number): Promise<BoardSlots> {
  const names = SLOT_FILES.slice(0, count)
  const slots: (Slot | undefined)[] = []
  const textCrcs: { [name: string]: number | undefined } = {}
  for (const name of names) {
    const file = await store.look(name, TRAILER_BYTES)
    textCrcs[name] = file?.crc32
    slots.push(file === undefined ? undefined : parseSlot(name, file.size, file.tail, crcOf))
  }
  return { names, slots, isWhole: slot => textCrcs[slot.name] === slot.crc }
}

/** The plain prompt: firmware, timers and watches gone, a watchdog fed by the engine itself. */
async function toPlainPrompt(link: Link, prompt: Prompt, store: BoardStore, waits: Waits, guarded: boolean) {
  // The firmware's own watchdog would bite once nobody feeds it; one that the engine feeds takes its place.
  if (guarded) await prompt.ask('E.enableWatchdog(8,true),1').catch(ignoreBoardError)
  await prompt.ask('setTimeout(reset,20),1')
  await pause(Math.min(0.5, waits.answerSeconds / 4))
  const until = Date.now() + waits.resetSeconds * 1000
  while ((await greet(link, waits, false)) === undefined) {
    if (Date.now() > until) throw boardLost(link.path)
  }
  await store.install()
}

function ignoreBoardError(thrown: unknown): void {
  if (!(thrown instanceof BoardError)) throw thrown
}

/** Writes what is missing of a file. `keep`: may what is there stay, if it is right? The number of bytes sent. */
async function fill(
  store: BoardStore,
  name: string,
  text: string,
  fileSize: number,
  options: UploadOptions,
): Promise<{ sentBytes: number; keptBytes: number }> {
  const pieces = piecesOf(text)
  let missing: Piece[] | undefined
  const there = await store.look(name, 0)
  if (there !== undefined && there.size === fileSize) {
    const states = await store.states(name, pieces)
    const tail = await store.look(name, fileSize - text.length)
    const clean = states[0] === 'right' && !states.includes('other') && /^\xff*$/.test(tail?.tail ?? '')
    if (clean) missing = pieces.filter((_, i) => states[i] === 'erased')
  }
  if (missing === undefined) {
    missing = pieces
    if (there !== undefined) await store.erase(name)
    await store.makeRoom(fileSize, () => options.report({ step: 'tidying' }))
  }
  const missingBytes = missing.reduce((sum, piece) => sum + piece.text.length, 0)
  const keptBytes = text.length - missingBytes
  let doneBytes = keptBytes
  const tell = (): void => options.report({ step: 'writing', slot: name, doneBytes, ofBytes: text.length, keptBytes })
  tell()
  for (const piece of missing) {
    if (!(await store.write(name, piece, fileSize))) throw new BoardError(`read back wrong at ${piece.offset}`)
    doneBytes += piece.text.length
    tell()
  }
  return { sentBytes: missingBytes, keptBytes }
}

/** The text in a file whose CRC was found right on the board; begun anew once. Throws `LinkError`. */
async function place(
  store: BoardStore,
  name: string,
  text: string,
  crc32: number,
  tailBytes: number,
  options: UploadOptions,
): Promise<{ sentBytes: number; keptBytes: number }> {
  let trouble: LinkError | undefined
  for (let tries = 0; tries < 2; tries++) {
    try {
      const done = await fill(store, name, text, text.length + tailBytes, options)
      const found = (await store.look(name, tailBytes))?.crc32
      if (found === crc32) return done
      trouble = crcDiffers(hex8(crc32), found === undefined ? 'none' : hex8(found))
    } catch (thrown) {
      if (!(thrown instanceof BoardError)) throw thrown
      trouble = storeRefused(thrown.message)
    }
    await store.erase(name)
  }
  throw trouble
}

/** The guard in its place; true when it had to be written. */
async function placeGuard(store: BoardStore, guard: BundleText, options: UploadOptions): Promise<boolean> {
  const isRight = async (): Promise<boolean> => {
    const found = await store.look(GUARD_FILE, 0)
    return found !== undefined && found.size === guard.text.length && found.crc32 === guard.crc32
  }
  if (await isRight()) return false
  options.report({ step: 'guard' })
  await place(store, GUARD_DRAFT, guard.text, guard.crc32, 0, { ...options, report: () => {} })
  await store.makeRoom(guard.text.length, () => options.report({ step: 'tidying' }))
  await store.copy(GUARD_DRAFT, GUARD_FILE)
  if (!(await isRight())) throw crcDiffers(hex8(guard.crc32), 'of the guard another')
  await store.erase(GUARD_DRAFT)
  return true
}

/** The port again after a restart of the board took it away. Throws the first trouble when it does not come back. */
async function reopened(path: string, options: UploadOptions): Promise<Link> {
  const until = Date.now() + options.waits.reopenSeconds * 1000
  for (;;) {
    try {
      return await options.reopen()
    } catch (thrown) {
      if (!(thrown instanceof LinkError)) throw thrown
      if (Date.now() > until) throw pulled(path)
      await pause(Math.min(0.5, options.waits.reopenSeconds / 4))
    }
  }
}

/** Waits for the firmware after a restart, then for its healthy mark. */
async function awaitHealthy(
  started: Link,
  slot: string,
  options: UploadOptions,
): Promise<{ end: UploadEnd; runs: string | undefined; said: string }> {
  const { waits } = options
  const startedAt = Date.now()
  const elapsed = (): number => (Date.now() - startedAt) / 1000
  let link = started
  let seen: Description | undefined
  let heardAt = 0
  let restarted = false
  // What it printed by itself: later words may be answers to requests that nobody understood.
  const first = lastWords(link)
  for (;;) {
    try {
      seen = await describe(remoteOver(link, waits), waits.replySeconds)
      heardAt = elapsed()
      if (seen.slot !== undefined && seen.slot !== slot) return { end: 'fellBack', runs: seen.version, said: '' }
      if (seen.good) return { end: 'healthy', runs: seen.version, said: '' }
      await Promise.race([pause(waits.pollSeconds), link.gone])
    } catch (thrown) {
      const trouble = thrown instanceof LinkError ? thrown.trouble : undefined
      if (trouble === 'pulled') {
        // A board whose port is its own takes it along when it restarts.
        link = await reopened(link.path, options)
        restarted = true
      } else if (trouble === 'noAnswer') restarted = seen !== undefined
      else if (!(thrown instanceof RemoteError)) throw thrown
      // An interrupt in the guard's first seconds would keep the firmware off; a request is only thrown away.
      await Promise.race([pause(waits.pollSeconds), link.gone]).catch(() => {})
    }
    options.report({ step: 'waiting', elapsedSeconds: elapsed() })
    // The guard gives it two starts.
    const limit = seen === undefined ? waits.startSeconds : waits.healthySeconds * (restarted ? 2 : 1)
    if (elapsed() > limit) break
  }
  const said = first === '' ? lastWords(link) : first
  if (seen !== undefined && elapsed() - heardAt < waits.bootSeconds * 2) {
    return { end: 'notHealthy', runs: seen.version, said }
  }
  const greeting = await greet(link, waits, false)
  return { end: greeting === undefined ? 'silent' : 'notStarted', runs: undefined, said }
}

/** The end of what the board printed, on one line. */
function lastWords(link: Link): string {
  return link
    .heard()
    .replace(/[^ -~]+/g, ' ')
    .trim()
    .slice(-200)
}

/** Uploads. Throws `LinkError` before or in the middle; how the firmware then fared is in the report. */
export async function upload(link: Link, options: UploadOptions): Promise<UploadReport> {
  const { waits } = options
  const remote = remoteOver(link, waits)
  const prompt = promptOver(link, waits)
  const store = new BoardStore(prompt, waits.slowSeconds)

  const greeting = await meet(link, remote, waits)
  const { bundle, guard, slots } = options.choose(greeting)
  const running = greeting.firmware ? await describe(remote, waits.replySeconds).catch(() => undefined) : undefined
  options.report({ step: 'found', ...greeting, firmware: running?.version })
  await store.install()
  const before = await slotsOf(store, slots)
  const newest = slotToStart(before.slots, before.isWhole)
  const isThere = newest !== undefined && newest.crc === bundle.crc32 && newest.textBytes === bundle.text.length

  const done = { slot: newest?.name ?? '', sentBytes: 0, keptBytes: bundle.text.length, guardWritten: false }
  const guardThere = await store.look(GUARD_FILE, 0)
  const guardRight = guardThere?.crc32 === guard.crc32 && guardThere.size === guard.text.length
  const runsAlready = isThere && guardRight && running?.slot === newest.name
  if (isThere) options.report({ step: 'present', slot: newest.name })
  if (!runsAlready) {
    await toPlainPrompt(link, prompt, store, waits, greeting.guarded)
    try {
      const target = slotToFill(before.names, before.slots, before.isWhole)
      if (!isThere) {
        const placed = await place(store, target, bundle.text, bundle.crc32, TRAILER_BYTES, options)
        Object.assign(done, placed, { slot: target })
      }
      done.guardWritten = await placeGuard(store, guard, options)
      if (!isThere) await seal(store, target, bundle, nextSequence(before.slots))
    } catch (thrown) {
      // Back to the firmware that was there, so that the base works as before; if the line lets it through.
      await prompt.tell('load()').catch(() => {})
      throw thrown
    }
    options.report({ step: 'sealed', slot: done.slot })
    options.report({ step: 'restarting' })
    await prompt.ask('setTimeout(load,50),1')
    link.forget()
    await Promise.race([pause(waits.bootSeconds), link.gone])
  }
  if (!options.await) return { ...done, end: 'notAwaited', runs: running?.version, said: '' }
  return { ...done, ...(await awaitHealthy(link, done.slot, options)) }
}

/** The last write: from here on the slot exists. */
async function seal(store: BoardStore, name: string, bundle: BundleText, sequence: number): Promise<void> {
  const piece = { offset: bundle.text.length, text: makeSeal(sequence, bundle.text, crcOf) }
  const written = await store.write(name, piece, bundle.text.length + TRAILER_BYTES).catch(thrown => {
    if (thrown instanceof BoardError) throw storeRefused(thrown.message)
    throw thrown
  })
  if (!written) throw storeRefused('the seal reads back wrong')
}
