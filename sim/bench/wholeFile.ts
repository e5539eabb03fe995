/**
 * A file that is there only when it is whole: written beside its place and moved there at the end, over what may have been
 * there. What cannot be written is found when it is opened, before any long work. Throws `InputError` in words.
 */
import { closeSync, openSync, renameSync, rmSync, statSync, writeSync } from 'node:fs'
import { InputError } from './inputError.ts'

export interface WholeFile {
  write(text: string): void
  /** Moves it to its place. */
  finish(): void
  /** Leaves its place as it was. */
  drop(): void
}

/** `option` is what the messages call it, such as `--report`. */
export function openWhole(option: string, path: string): WholeFile {
  if (/[/\\]$/.test(path) || kindOf(path) === 'folder')
    throw new InputError([`${option} ${path}: this is a folder; name a file in it`])
  const unfinished = `${path}.unfinished`
  const guarded = <T>(act: () => T): T => {
    try {
      return act()
    } catch (cause) {
      if (kindOf(unfinished) === 'file') rmSync(unfinished)
      throw new InputError([unwritable(option, path, cause)])
    }
  }
  const file = guarded(() => openSync(unfinished, 'w'))
  return {
    write: text => guarded(() => writeSync(file, text)),
    finish: () =>
      guarded(() => {
        closeSync(file)
        renameSync(unfinished, path)
      }),
    drop() {
      closeSync(file)
      rmSync(unfinished, { force: true })
    },
  }
}

/** Throws what `openWhole` would, and leaves nothing behind: for what is written only after long work. */
export function tryWhole(option: string, path: string): void {
  openWhole(option, path).drop()
}

/** Why a file cannot be written, in words, with what to do. */
export function unwritable(option: string, path: string, cause: unknown): string {
  const code = (cause as { code?: string }).code
  const why: Record<string, string> = {
    ENOENT: 'there is no such folder; make it first',
    ENOTDIR: 'there is no such folder; make it first',
    EACCES: 'no permission to write there; choose another place or change its permissions',
    EPERM: 'no permission to write there; choose another place or change its permissions',
    EROFS: 'nothing can be written there; choose another place',
    ENOSPC: 'the disk is full; make room or choose another place',
  }
  const words = code === undefined ? String(cause) : (why[code] ?? code)
  return `${option} ${path}: cannot be written: ${words}`
}

/** What is at this path, as far as it can be seen. */
export function kindOf(path: string): 'folder' | 'file' | 'nothing' {
  try {
    return statSync(path).isDirectory() ? 'folder' : 'file'
  } catch {
    return 'nothing'
  }
}
