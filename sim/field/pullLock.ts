/**
 * One pull at a time writes to a file: beside it stands `NAME.lock` with the process that writes, from before it is opened
 * until it is closed. A process that has ended leaves its lock behind; the next pull on the same machine takes it over.
 * A lock that cannot be judged (another machine's, or half written) is an `InputError` that says what to do.
 */
import { closeSync, openSync, readFileSync, realpathSync, renameSync, unlinkSync, writeSync } from 'node:fs'
import { hostname } from 'node:os'
import { InputError } from '../bench/inputError.ts'

const OWN = `${process.pid} ${hostname()}`
/** Locks that this process has now. */
const held = new Set<string>()

/** Locks `path`, and gives what lets go of it. What the system refuses comes as it is. */
export function lockFile(path: string): () => void {
  const lock = `${resolved(path)}.lock`
  if (!taken(lock)) {
    clearDead(lock, path)
    if (!taken(lock)) throw busy(path, lock)
  }
  held.add(lock)
  return () => {
    held.delete(lock)
    // A person may have removed it, and another pull have made its own.
    if (ownerOf(lock) === OWN) unlinkSync(lock)
  }
}

/** The same file under two names has one lock. */
function resolved(path: string): string {
  try {
    return realpathSync(path)
  } catch {
    return path
  }
}

/** False when somebody else has it. */
function taken(lock: string): boolean {
  let handle: number
  try {
    handle = openSync(lock, 'wx')
  } catch (cause) {
    if ((cause as { code?: string }).code === 'EEXIST') return false
    throw cause
  }
  try {
    writeSync(handle, `${OWN}\n`)
  } finally {
    closeSync(handle)
  }
  return true
}

/** Puts the lock of a dead process aside. Throws when its process may live. */
function clearDead(lock: string, path: string): void {
  const owner = ownerOf(lock)
  if (owner === undefined || !isDead(lock, owner)) throw busy(path, lock)
  // Renamed and looked at once more: another pull may have taken it over in the meantime.
  const aside = `${lock}-${process.pid}`
  try {
    renameSync(lock, aside)
  } catch (cause) {
    // It has just gone.
    if ((cause as { code?: string }).code === 'ENOENT') return
    throw cause
  }
  if (ownerOf(aside) !== owner) {
    renameSync(aside, lock)
    throw busy(path, lock)
  }
  unlinkSync(aside)
}

/** `process host`; `undefined` when it does not say. */
function ownerOf(lock: string): string | undefined {
  try {
    return /^(\d+ \S*)\n$/.exec(readFileSync(lock, 'utf8'))?.[1]
  } catch {
    return undefined
  }
}

function isDead(lock: string, owner: string): boolean {
  const [id, host] = owner.split(' ')
  if (host !== hostname()) return false
  const pid = Number(id)
  // Left by an earlier process that had the same number.
  if (pid === process.pid) return !held.has(lock)
  try {
    process.kill(pid, 0)
    return false
  } catch (cause) {
    return (cause as { code?: string }).code === 'ESRCH'
  }
}

function busy(path: string, lock: string): InputError {
  const [id, host] = ownerOf(lock)?.split(' ') ?? []
  const who = id === undefined ? '' : ` (process ${id} on ${host})`
  return new InputError([
    `${path}: another pull is writing to it${who}; wait until that has ended and pull again, or remove ${lock} if no ` +
      'pull runs',
  ])
}
