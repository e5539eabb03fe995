/**
 * Texts on their way into the board's store: a slot's text, the guard, the seal. Each can be begun again at any time:
 * what is there and right stays, anything else is erased and begun anew, twice at most. What goes wrong is thrown as
 * `LinkError`; then nothing of it counts, because the seal comes last.
 *
 * The guard is written to a file of its own first, checked there, and then put in place by one write on the board. That
 * write is the only moment of danger: a power cut within it (some tens of milliseconds) leaves a base that starts
 * to the plain prompt, motor off, slots whole; running the upload again mends it.
 */
import { GUARD_FILE, makeSeal, TRAILER_BYTES } from '../../hal/espruino/guard/slots.ts'
import { type BoardStore, type Piece, piecesOf } from './boardStore.ts'
import { type BundleText, hex8 } from './bundles.ts'
import { crcDiffers, type LinkError, storeRefused } from './messages.ts'
import { BoardError, crcOf } from './prompt.ts'
import type { UploadStep } from './upload.ts'

/** Where the guard waits for its one write into place. */
const GUARD_DRAFT = 'eb.g'

type Report = (step: UploadStep) => void

/** Writes what is missing of a file. `keep`: may what is there stay, if it is right? The number of bytes sent. */
async function fill(
  store: BoardStore,
  name: string,
  text: string,
  fileSize: number,
  report: Report,
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
    await store.makeRoom(fileSize, () => report({ step: 'tidying' }))
  }
  const missingBytes = missing.reduce((sum, piece) => sum + piece.text.length, 0)
  const keptBytes = text.length - missingBytes
  let doneBytes = keptBytes
  const tell = (): void => report({ step: 'writing', slot: name, doneBytes, ofBytes: text.length, keptBytes })
  tell()
  for (const piece of missing) {
    if (!(await store.write(name, piece, fileSize))) throw new BoardError(`read back wrong at ${piece.offset}`)
    doneBytes += piece.text.length
    tell()
  }
  return { sentBytes: missingBytes, keptBytes }
}

/** The text in a file whose CRC was found right on the board; begun anew once. Throws `LinkError`. */
export async function place(
  store: BoardStore,
  name: string,
  text: string,
  crc32: number,
  tailBytes: number,
  report: Report,
): Promise<{ sentBytes: number; keptBytes: number }> {
  let trouble: LinkError | undefined
  for (let tries = 0; tries < 2; tries++) {
    try {
      const done = await fill(store, name, text, text.length + tailBytes, report)
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
export async function placeGuard(store: BoardStore, guard: BundleText, report: Report): Promise<boolean> {
  const isRight = async (): Promise<boolean> => {
    const found = await store.look(GUARD_FILE, 0)
    return found !== undefined && found.size === guard.text.length && found.crc32 === guard.crc32
  }
  if (await isRight()) return false
  report({ step: 'guard' })
  await place(store, GUARD_DRAFT, guard.text, guard.crc32, 0, () => {})
  await store.makeRoom(guard.text.length, () => report({ step: 'tidying' }))
  await store.copy(GUARD_DRAFT, GUARD_FILE)
  if (!(await isRight())) throw crcDiffers(hex8(guard.crc32), 'of the guard another')
  await store.erase(GUARD_DRAFT)
  return true
}

/** The last write: from here on the slot exists. */
export async function seal(store: BoardStore, name: string, bundle: BundleText, sequence: number): Promise<void> {
  const piece = { offset: bundle.text.length, text: makeSeal(sequence, bundle.text, crcOf) }
  const written = await store.write(name, piece, bundle.text.length + TRAILER_BYTES).catch(thrown => {
    if (thrown instanceof BoardError) throw storeRefused(thrown.message)
    throw thrown
  })
  if (!written) throw storeRefused('the seal reads back wrong')
}
