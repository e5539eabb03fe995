/**
 * Upload of a firmware into the slot that the guard would not start, over a line that may fail at any moment. Order, so
 * that the base can start at every moment in between: the text into the free slot, its CRC, then the guard (only if it is
 * missing or another), and the seal last; not before the seal is whole does the slot exist. Then a restart, and a wait
 * for the firmware's first healthy minute.
 *
 * Interrupted anywhere, running it again finishes: pieces that are there and right are kept, a slot that holds anything
 * else is begun anew, a firmware that already runs is only waited for. Throws `LinkError` with what to do.
 */
import {
  GUARD_FILE,
  nextSequence,
  parseSlot,
  SLOT_FILES,
  type Slot,
  slotToFill,
  slotToStart,
  TRAILER_BYTES,
} from '../../hal/espruino/guard/slots.ts'
import { BoardStore } from './boardStore.ts'
import type { BundleText } from './bundles.ts'
import { type Link, pause } from './link.ts'
import { describe, meet } from './meet.ts'
import { boardLost } from './messages.ts'
import { place, placeGuard, seal } from './placing.ts'
import { BoardError, crcOf, type Greeting, greet, type Prompt, promptOver } from './prompt.ts'
import { awaitHealthy } from './proving.ts'
import { remoteOver } from './remote.ts'
import type { Waits } from './waits.ts'

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
        const placed = await place(store, target, bundle.text, bundle.crc32, TRAILER_BYTES, options.report)
        Object.assign(done, placed, { slot: target })
      }
      done.guardWritten = await placeGuard(store, guard, options.report)
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
