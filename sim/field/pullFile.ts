/**
 * The file that a pull writes to: chosen so that nothing that is on disk already is overwritten, cut back to its last whole
 * record where a pull was broken off, and written record by record, on the disk for good before anybody relies on it.
 * What the system refuses is said as an `InputError`.
 */
import {
  closeSync,
  existsSync,
  fstatSync,
  fsyncSync,
  ftruncateSync,
  lstatSync,
  openSync,
  readFileSync,
  readSync,
  statSync,
  writeSync,
} from 'node:fs'
import { dirname, join, parse } from 'node:path'
import { InputError } from '../bench/inputError.ts'
import { readWhole } from '../bench/readWhole.ts'
import { firstLine, JOURNAL_BYTES_AT_MOST, type JournalFile, parseJournal } from './journalFile.ts'
import { lockFile } from './pullLock.ts'

/** The journal file that the pull may go on with, or begin. */
export interface Chosen {
  path: string
  /** What is in it; `undefined`: it is not there yet. */
  old: JournalFile | undefined
  /** Bytes behind the last whole record. */
  cutBytes: number
  /** There was no file of this name. */
  isNew: boolean
}

/** What a base is called in a file's name. */
export function nameOf(serial: string): string {
  return serial.replace(/[^A-Za-z0-9._-]/g, '_')
}

/** Where the journal of a base goes unless that file cannot take it. `to`: a folder, a file, or nothing. */
export function wantedPath(to: string | undefined, serial: string): string {
  const own = `${nameOf(serial)}.journal`
  if (to === undefined || to === '') return own
  const isFolder = /[\\/]$/.test(to) || statSync(to, { throwIfNoEntry: false })?.isDirectory() === true
  return isFolder ? join(to, own) : to
}

/** `name.journal`, `name-2.journal`, `name-3.journal` … */
export function numbered(path: string, number: number): string {
  return number === 1 ? path : tagged(path, String(number))
}

function tagged(path: string, tag: string): string {
  const { dir, name, ext } = parse(path)
  return join(dir, `${name}-${tag}${ext}`)
}

/**
 * The newest file of this base at `wanted`: a journal that was begun anew went to the next number, and only the last can be
 * gone on with. Files of these names that belong to somebody else are left alone. `next` is the first number that is free;
 * where another base's journal is at `wanted`, the names have the serial in them.
 */
export function chooseFile(
  wanted: string,
  serial: string,
): { chosen: Chosen; next: string; other: string | undefined } {
  const there = isThere(wanted) ? read(wanted, serial) : undefined
  const other = there?.old?.serial
  const isOther = other !== undefined && other !== serial
  const path = isOther ? tagged(wanted, nameOf(serial)) : wanted
  let newest: string | undefined
  let number = 1
  for (; isThere(numbered(path, number)); number++) {
    if (isOf(numbered(path, number), serial)) newest = numbered(path, number)
  }
  const next = numbered(path, number)
  const chosen = newest === undefined ? { path: next, old: undefined, cutBytes: 0, isNew: true } : read(newest, serial)
  return { chosen, next, other: isOther ? other : undefined }
}

/** The name is taken; by a link that leads nowhere too. */
function isThere(path: string): boolean {
  return lstatSync(path, { throwIfNoEntry: false }) !== undefined
}

/** It begins as a journal of this base does. */
function isOf(path: string, serial: string): boolean {
  const first = Buffer.from(firstLine(serial), 'latin1')
  const begins = new Uint8Array(first.length)
  try {
    const handle = openSync(path, 'r')
    try {
      const bytes = readSync(handle, begins, 0, begins.length, 0)
      return first.subarray(0, bytes).equals(begins.subarray(0, bytes))
    } finally {
      closeSync(handle)
    }
  } catch {
    return false
  }
}

function read(path: string, serial: string): Chosen {
  if (!existsSync(path)) {
    throw new InputError([`${path}: a link that leads nowhere; remove it, or name another file with --to`])
  }
  const bytes = readWhole(path, JOURNAL_BYTES_AT_MOST)
  // Broken off while its first line was written.
  const first = Buffer.from(firstLine(serial), 'latin1')
  if (bytes.length < first.length && first.subarray(0, bytes.length).equals(bytes)) {
    return { path, old: undefined, cutBytes: bytes.length, isNew: false }
  }
  const old = parseJournal(bytes, path)
  return { path, old, cutBytes: bytes.length - old.wholeBytes, isNew: false }
}

export interface OpenFile {
  /** Adds whole records; they are on the disk for good when it returns. */
  append(records: readonly Uint8Array[]): void
  /** Throws unless what was written stands under the file's name: only then may anybody rely on it. */
  confirm(): void
  close(): void
}

/**
 * Opens the chosen file for whole records, behind its last one, and keeps other pulls off it. Nothing is written when it is
 * not as it was when it was chosen, or grows by another hand.
 */
export function openChosen({ path, old, cutBytes, isNew }: Chosen, serial: string): OpenFile {
  const guarded = <T>(work: () => T): T => {
    try {
      return work()
    } catch (cause) {
      throw cause instanceof InputError ? cause : new InputError([unwritable(path, cause)])
    }
  }
  const unlock = guarded(() => lockFile(path))
  let handle = -1
  const close = (): void => {
    if (handle >= 0) closeSync(handle)
    unlock()
  }
  const begun = old?.wholeBytes ?? 0
  let end = begun + cutBytes
  const written: Uint8Array[] = []
  const put = (bytes: Uint8Array): void => {
    if (fstatSync(handle).size !== end) throw changed(path)
    for (let done = 0; done < bytes.length; ) done += writeSync(handle, bytes, done, bytes.length - done, end + done)
    end += bytes.length
    written.push(bytes)
    fsyncSync(handle)
  }
  try {
    guarded(() => {
      handle = openSync(path, isNew ? 'wx+' : 'r+')
      if (!isNew && !isSameAs(read(path, serial), { path, old, cutBytes, isNew })) throw changed(path)
      ftruncateSync(handle, begun)
      end = begun
      put(old === undefined ? Buffer.from(firstLine(serial), 'latin1') : new Uint8Array(0))
      syncFolder(dirname(path))
    })
  } catch (thrown) {
    close()
    throw thrown
  }
  return {
    append: records =>
      guarded(() => {
        if (records.length > 0) put(Buffer.concat(records))
      }),
    confirm: () => {
      if (!stands(path, handle, begun, Buffer.concat(written))) throw changed(path)
    },
    close,
  }
}

function isSameAs(now: Chosen, chosen: Chosen): boolean {
  return now.cutBytes === chosen.cutBytes && now.old?.wholeBytes === chosen.old?.wholeBytes
}

/** What the open file is, is what its name leads to, and ends with these bytes. */
function stands(path: string, handle: number, begun: number, written: Uint8Array): boolean {
  try {
    const open = fstatSync(handle, { bigint: true })
    const named = statSync(path, { bigint: true })
    if (open.ino !== named.ino || open.dev !== named.dev) return false
    const bytes = readFileSync(path)
    return Buffer.compare(bytes.subarray(begun), written) === 0 && parseJournal(bytes, path).wholeBytes === bytes.length
  } catch {
    return false
  }
}

function changed(path: string): InputError {
  return new InputError([
    `${path}: was removed, renamed or changed by another program while it was written; the base was told nothing and ` +
      'keeps its records: pull again',
  ])
}

/** A file's name is on the disk for good too; some systems do not let a folder be asked for that. */
function syncFolder(folder: string): void {
  try {
    const handle = openSync(folder, 'r')
    fsyncSync(handle)
    closeSync(handle)
  } catch {
    // The records themselves are there.
  }
}

function unwritable(path: string, cause: unknown): string {
  const code = (cause as { code?: string }).code
  if (code === 'ENOENT') return `${path}: no such folder; make it, or name another with --to`
  if (code === 'EISDIR') return `${path}: this is a folder; name a file in it with --to`
  if (code === 'EACCES' || code === 'EPERM' || code === 'EROFS') {
    return `${path}: no permission to write it; name another with --to`
  }
  if (code === 'EEXIST') return `${path}: another program has just made it; pull again`
  if (code === 'ENOSPC') return `${path}: the disk is full; what was written counts, make room and pull again`
  return `${path}: cannot be written (${code ?? String(cause)})`
}
