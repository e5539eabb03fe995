/**
 * Small texts in the engine's file store, each write all or nothing: the new text goes into a file of its own under the
 * name's other suffix, is read back, and only then is the old file removed. What was begun and not finished has a wrong
 * CRC and does not count; where both are whole the later one does.
 *
 * A file that is replaced leaves its room behind as rubbish until the store is compacted. Nothing here ever makes the
 * engine compact by itself: a write that would is refused.
 */
import type { TextFiles } from '../board.ts'
import type { Engine, EngineStorage } from './engine.ts'
import { EspruinoPart, printable } from './part.ts'

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
  suffix: string
}

export class EspruinoFiles extends EspruinoPart implements TextFiles {
  private readonly storage: EngineStorage

  constructor(options: { engine: Engine }) {
    super('files', options)
    this.storage = this.engine.require('Storage')
  }

  names(): string[] {
    this.mustBeOpen()
    const names: string[] = []
    const all = this.storage.list()
    for (let i = 0; i < all.length; i++) {
      const cut = all[i].length - 2
      const name = all[i].substring(0, cut)
      if (SUFFIXES.indexOf(all[i].substring(cut)) < 0 || names.indexOf(name) >= 0) continue
      if (this.newest(name) !== undefined) names.push(name)
    }
    return names
  }

  read(name: string): string | undefined {
    this.checkName(name)
    const found = this.newest(name)
    return found === undefined ? undefined : found.text
  }

  write(name: string, text: string): void {
    this.checkName(name)
    if (!printable(text, '')) throw new TypeError('files: text (allowed: printable ASCII)')
    if (text.length > MOST_CHARACTERS) throw new RangeError('files: text (allowed: up to 8000 characters)')
    if (text.length + OVERHEAD_BYTES + SPARE_BYTES > this.storage.getFree()) throw new Error('files: no room')
    const old = this.newest(name)
    if (old !== undefined && old.text === text) return
    const suffix = old !== undefined && old.suffix === '!0' ? '!1' : '!0'
    const count = old === undefined ? 0 : (old.count + 1) % 10
    const content = text + '\n' + count
    this.storage.write(name + suffix, content + hex(this.engine, content))
    const written = this.look(name, suffix)
    if (written === undefined || written.text !== text) throw new Error('files: not written')
    if (old !== undefined) this.storage.erase(name + old.suffix)
  }

  remove(name: string): void {
    this.checkName(name)
    // The older first: a cut between the two must not bring it back.
    const newest = this.newest(name)
    const last = newest === undefined ? '!0' : newest.suffix
    this.storage.erase(name + (last === '!0' ? '!1' : '!0'))
    this.storage.erase(name + last)
  }

  private checkName(name: unknown): void {
    this.mustBeOpen()
    const message = 'files: name ' + name + ' (allowed: a-z 0-9 . -, 1 to 26)'
    if (typeof name !== 'string') throw new TypeError(message)
    if (name.length > 26 || !/^[a-z0-9.-]+$/.test(name)) throw new RangeError(message)
  }

  private newest(name: string): Found | undefined {
    const one = this.look(name, '!0')
    const other = this.look(name, '!1')
    if (one === undefined || other === undefined) return one === undefined ? other : one
    return (one.count + 1) % 10 === other.count ? other : one
  }

  private look(name: string, suffix: string): Found | undefined {
    const file = this.storage.read(name + suffix)
    if (file === undefined) return undefined
    const end = file.indexOf('\n')
    if (end < 0 || hex(this.engine, file.substring(0, end + 2)) !== file.substring(end + 2)) return undefined
    return { text: file.substring(0, end), count: +file.charAt(end + 1), suffix: suffix }
  }
}

function hex(engine: Engine, text: string): string {
  return (engine.E.CRC32(text) >>> 0).toString(16)
}
