/**
 * The file that a pull writes to: chosen so that nothing that is on disk already is overwritten, cut back to its last whole
 * record where a pull was broken off, and written record by record, on the disk for good before anybody relies on it.
 * What the system refuses is said as an `InputError`.
 */
import { closeSync, existsSync, fsyncSync, ftruncateSync, openSync, readFileSync, statSync, writeSync } from 'node:fs'
import { dirname, join, parse } from 'node:path'
import { InputError, unreadable } from '../bench/inputError.ts'
import { firstLine, type JournalFile, parseJournal } from './journalFile.ts'

/** The journal file that the pull may go on with, or begin. */
export interface Chosen {
  path: string
  /** What is in it; `undefined`: it is not there yet. */
  old: JournalFile | undefined
  /** Bytes behind the last whole record. */
  cutBytes: number
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
 * gone on with. `next` is the number after it. Another base's file is left alone, and a name with the serial in it taken.
 */
export function chooseFile(
  wanted: string,
  serial: string,
): { chosen: Chosen; next: string; other: string | undefined } {
  const other = existsSync(wanted) ? read(wanted, serial).old?.serial : undefined
  const isOther = other !== undefined && other !== serial
  const path = isOther ? tagged(wanted, nameOf(serial)) : wanted
  let number = 1
  while (existsSync(numbered(path, number + 1))) number++
  const chosen = read(numbered(path, number), serial)
  return { chosen, next: numbered(path, number + 1), other: isOther ? other : undefined }
}

function read(path: string, serial: string): Chosen {
  if (!existsSync(path)) return { path, old: undefined, cutBytes: 0 }
  let bytes: Uint8Array
  try {
    bytes = readFileSync(path)
  } catch (cause) {
    throw new InputError([unreadable(path, cause)])
  }
  // Broken off while its first line was written.
  const first = Buffer.from(firstLine(serial), 'latin1')
  if (bytes.length < first.length && first.subarray(0, bytes.length).equals(bytes)) {
    return { path, old: undefined, cutBytes: bytes.length }
  }
  const old = parseJournal(bytes, path)
  return { path, old, cutBytes: bytes.length - old.wholeBytes }
}

export interface OpenFile {
  /** Adds whole records; they are on the disk for good when it returns. */
  append(records: readonly Uint8Array[]): void
  close(): void
}

/** Opens the chosen file for whole records, behind its last one. */
export function openChosen({ path, old }: Chosen, serial: string): OpenFile {
  const guarded = <T>(work: () => T): T => {
    try {
      return work()
    } catch (cause) {
      throw new InputError([unwritable(path, cause)])
    }
  }
  const handle = guarded(() => openSync(path, existsSync(path) ? 'r+' : 'wx+'))
  let end = old?.wholeBytes ?? 0
  const put = (bytes: Uint8Array): void => {
    for (let done = 0; done < bytes.length; ) done += writeSync(handle, bytes, done, bytes.length - done, end + done)
    end += bytes.length
  }
  guarded(() => {
    ftruncateSync(handle, end)
    if (old === undefined) put(Buffer.from(firstLine(serial), 'latin1'))
    fsyncSync(handle)
    syncFolder(dirname(path))
  })
  return {
    append: records =>
      guarded(() => {
        if (records.length === 0) return
        put(Buffer.concat(records))
        fsyncSync(handle)
      }),
    close: () => closeSync(handle),
  }
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
  if (code === 'ENOSPC') return `${path}: the disk is full; what was written counts, make room and pull again`
  return `${path}: cannot be written (${code ?? String(cause)})`
}
