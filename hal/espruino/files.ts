/**
 * Small texts in the engine's file store, each write all or nothing: the new text goes into a file of its own under the
 * name's other suffix, is read back, and only then is the old file removed. What was begun and not finished has a wrong
 * CRC and does not count; where both are whole the later one does.
 *
 * A file that is replaced leaves its room behind as rubbish until the store is compacted. Nothing here ever makes the
 * engine compact by itself: a write that would is refused.
 */
import type { TextFiles } from '../board.ts'
import { CHECKS, checkOptions, mustBe, mustBeOpen, printable } from './checks.ts'
import type { Engine } from './engine.ts'

const MOST_CHARACTERS = 8000
/** A file's header, and the line with its number and CRC. */
const OVERHEAD_BYTES = 48
/** Kept free: the engine looks for room page by page. */
const SPARE_BYTES = 4096
const SUFFIXES = ['!0', '!1']

interface Found {
  text: string
  /** 0 to 9, one more each time. */
  count: number
  /** Which of the suffixes. */
  place: number
}

export function openFiles(options: { engine: Engine }): TextFiles {
  if (CHECKS) checkOptions('files', options, {})
  const engine = options.engine
  const store = engine.require('Storage')
  let closed = false

  const checkName = (name: string): void => {
    if (CHECKS) mustBeOpen('files', closed)
    if (typeof name !== 'string' || !/^[a-z0-9.-]+$/.test(name) || name.length > 26) {
      throw new RangeError('files: name ' + name + ' (allowed: a-z 0-9 . -, 1 to 26)')
    }
  }
  // With the name in it: a removal that the power cut short can leave a whole text under a name that nobody gave.
  const sumOf = (name: string, text: string): string => (engine.E.CRC32(name + text) >>> 0).toString(16)
  const look = (name: string, place: number): Found | undefined => {
    const file = store.read(name + SUFFIXES[place])
    const end = file === undefined ? -1 : file.indexOf('\n')
    if (file === undefined || end < 0 || sumOf(name, file.substring(0, end + 2)) !== file.substring(end + 2))
      return undefined
    return { text: file.substring(0, end), count: +file.charAt(end + 1), place: place }
  }
  const newest = (name: string): Found | undefined => {
    const one = look(name, 0)
    const other = look(name, 1)
    if (one === undefined || other === undefined) return one || other
    return (one.count + 1) % 10 === other.count ? other : one
  }
  return {
    names: () => {
      if (CHECKS) mustBeOpen('files', closed)
      const names: string[] = []
      store.list().forEach(file => {
        const cut = file.length - 2
        const name = file.substring(0, cut)
        if (SUFFIXES.indexOf(file.substring(cut)) < 0 || names.indexOf(name) >= 0) return
        if (newest(name) !== undefined) names.push(name)
      })
      return names
    },
    read: name => {
      checkName(name)
      const found = newest(name)
      return found === undefined ? undefined : found.text
    },
    write: (name, text) => {
      checkName(name)
      // Letter by letter only off the board: there it would take seconds, and what comes over the line was checked.
      if (CHECKS) mustBe('files', printable(text, ''), text, 'printable ASCII')
      if (text.length > MOST_CHARACTERS) throw new RangeError('files: text (allowed: up to 8000)')
      const old = newest(name)
      if (old !== undefined && old.text === text) return
      if (text.length + OVERHEAD_BYTES + SPARE_BYTES > store.getFree()) throw new Error('files: no room')
      const place = old === undefined ? 0 : 1 - old.place
      const content = text + '\n' + (old === undefined ? 0 : (old.count + 1) % 10)
      store.write(name + SUFFIXES[place], content + sumOf(name, content))
      const written = look(name, place)
      if (written === undefined || written.text !== text) throw new Error('files: not written')
      if (old !== undefined) store.erase(name + SUFFIXES[old.place])
    },
    remove: name => {
      checkName(name)
      // The older first: a cut between the two must not bring it back.
      const found = newest(name)
      const place = found === undefined ? 0 : found.place
      store.erase(name + SUFFIXES[1 - place])
      store.erase(name + SUFFIXES[place])
    },
    close: () => {
      closed = true
    },
  }
}
