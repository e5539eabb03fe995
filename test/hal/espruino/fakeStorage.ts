/**
 * The engine's file store for tests: a chain of 32-byte headers and data over a fake flash, laid out and searched as the
 * engine does it, so that what a power cut leaves behind is found again as the engine would find it.
 *
 * A header is the size in 24 bits and a byte of flags, then the name in 28 bytes; a deleted file's name begins with four
 * zeros; data are padded to 4 bytes. Replacing a file first kills the old header and then writes the new one, so between
 * the two there is neither. Not modelled: growing files (`open`), a second bank, compressed files.
 */
import type { FakeFlash } from './fakeFlash.ts'

const HEADER = 32
const NAME = 28

type Data = string | ArrayBuffer | ArrayLike<number>

export interface StorageStats {
  totalBytes: number
  freeBytes: number
  fileBytes: number
  fileCount: number
  trashBytes: number
  trashCount: number
}

/** The part of the engine's Storage module that the project uses, and two looks from outside. */
export interface FakeStorage {
  read(name: string, offset?: number, length?: number): string | undefined
  readArrayBuffer(name: string): ArrayBuffer | undefined
  write(name: string, data: Data, offset?: number, size?: number): boolean
  erase(name: string): void
  eraseAll(): void
  list(pattern?: RegExp | string): string[]
  getFree(): number
  getStats(): StorageStats
  compact(): void
  /** What the engine does at power-on: a store whose chain is damaged is erased, all of it. True when it was sound. */
  checkAtPowerOn(): boolean
  /** Where a file's data begin in the flash, for tests that spoil it; -1 when there is none. */
  addressOf(name: string): number
}

interface Header {
  address: number
  size: number
  flags: number
  name: string
  blank: boolean
  valid: boolean
  deleted: boolean
}

const aligned = (bytes: number): number => (bytes + 3) & ~3

function toBytes(data: Data): number[] {
  if (typeof data === 'string') return Array.from(data, one => one.charCodeAt(0) & 0xff)
  // By tag, because the data may come from another realm.
  if (Object.prototype.toString.call(data) === '[object ArrayBuffer]') return [...new Uint8Array(data as ArrayBuffer)]
  return Array.from(data as ArrayLike<number>, one => one & 0xff)
}

const toText = (bytes: Uint8Array): string => Buffer.from(bytes).toString('latin1')

export function createFakeStorage(flash: FakeFlash): FakeStorage {
  const end = flash.bytes.length
  const page = flash.pageBytes

  const headerAt = (address: number): Header => {
    const raw = flash.read(address, HEADER)
    const word = raw[0] | (raw[1] << 8) | (raw[2] << 16) | (raw[3] << 24)
    const size = word & 0xffffff
    const name = raw.subarray(4)
    return {
      address,
      size,
      flags: raw[3],
      name: toText(name.subarray(0, name.indexOf(0) < 0 ? NAME : name.indexOf(0))),
      blank: raw.every(one => one === 0xff),
      valid: word !== -1 && word !== 0 && address + HEADER + size <= end,
      deleted: (raw[4] | raw[5] | raw[6] | raw[7]) === 0,
    }
  }
  const nextPage = (address: number): number => {
    const next = address - (address % page) + page
    return next >= end ? -1 : next
  }
  /** The header after this one, or -1 for its address. `all` goes on at the next page when the chain stops. */
  const after = (header: Header, all: boolean): Header => {
    const nowhere = { ...header, address: -1, valid: false }
    const address = aligned(header.address + HEADER + header.size)
    if (address + HEADER > end) return nowhere
    const next = headerAt(address)
    if (next.valid || !all) return next
    const start = nextPage(address)
    return start < 0 ? { ...next, address: -1 } : headerAt(start)
  }
  const chain = (all: boolean): { headers: Header[]; last: Header } => {
    const headers: Header[] = []
    let one = headerAt(0)
    while (one.valid) {
      headers.push(one)
      one = after(one, all)
    }
    return { headers, last: one }
  }
  const isReal = (one: Header): boolean => !one.deleted && (one.flags === 0 || one.flags === 64 || one.flags === 128)
  const find = (name: string): Header | undefined => {
    const wanted = name.slice(0, NAME)
    return chain(true).headers.find(one => !one.deleted && one.name === wanted)
  }
  const kill = (one: Header): void => flash.write(one.address + 4, [0, 0, 0, 0])
  const isErased = (address: number, length: number): boolean => flash.read(address, length).every(one => one === 0xff)

  const stats = (): StorageStats & { firstTrashPage: number } => {
    const found = { totalBytes: end, freeBytes: end, fileBytes: 0, fileCount: 0, trashBytes: 0, trashCount: 0 }
    let unbroken = 0
    let firstTrashPage = -1
    for (const one of chain(true).headers) {
      if (one.address % page === 0) unbroken = one.address
      const bytes = aligned(one.size) + HEADER
      found.freeBytes = end - one.address - bytes
      if (one.deleted) {
        found.trashBytes += bytes
        found.trashCount++
        if (firstTrashPage < 0) firstTrashPage = unbroken
      } else {
        found.fileBytes += bytes
        found.fileCount++
      }
    }
    return { ...found, firstTrashPage }
  }

  /** Page by page: what belongs on a page is in memory alone from its erase until it is written again. */
  const compact = (): boolean => {
    const before = stats()
    if (before.trashBytes === 0) return false
    const start = Math.max(0, before.firstTrashPage)
    const { headers } = chain(true)
    const beyond = headers.filter(one => one.address >= start)
    const image: number[] = []
    for (const one of beyond.filter(isReal)) image.push(...flash.read(one.address, HEADER + aligned(one.size)))
    const last = beyond[beyond.length - 1]
    const oldEnd = last.address + HEADER + aligned(last.size)
    for (let at = 0; at < image.length; at += page) {
      flash.erasePage(start + at)
      flash.write(start + at, image.slice(at, at + page))
    }
    for (let at = start + Math.ceil(image.length / page) * page; at < oldEnd; at += page) flash.erasePage(at)
    return true
  }

  /** The place of a new file: behind the chain, or on the next page where the rest of this one is too small. */
  const place = (required: number): { address: number; free: number; trash: number } => {
    let address = 0
    let free = 0
    let trash = 0
    while (address >= 0) {
      let one = headerAt(address)
      while (one.valid) {
        if (one.deleted) trash += one.size
        one = after(one, false)
      }
      if (one.address < 0) break
      let until = nextPage(one.address)
      if (until < 0 || !headerAt(until).valid) until = end
      free += until - one.address
      if (until - one.address >= required) return { address: one.address, free, trash }
      address = nextPage(one.address)
    }
    return { address: -1, free, trash }
  }
  const create = (name: string, size: number): number => {
    const required = aligned(size) + HEADER
    let where = place(required)
    if (where.address < 0 && required < where.free + where.trash && compact()) where = place(required)
    if (where.address < 0) throw new Error('Unable to find or create file')
    const header = new Uint8Array(HEADER)
    header.set([size & 255, (size >> 8) & 255, (size >> 16) & 255, 0])
    header.set(toBytes(name.slice(0, NAME)), 4)
    flash.write(where.address, header)
    return where.address
  }

  return {
    read(name, offset = 0, length = 0) {
      const file = find(name)
      if (file === undefined) return undefined
      const from = Math.min(Math.max(0, offset), file.size)
      const wanted = length <= 0 ? file.size : length
      return toText(flash.read(file.address + HEADER + from, Math.min(wanted, file.size - from)))
    },
    readArrayBuffer(name) {
      const file = find(name)
      return file && (new Uint8Array(flash.read(file.address + HEADER, file.size)).buffer as ArrayBuffer)
    },
    write(name, data, offset = 0, size = 0) {
      const content = toBytes(data)
      const whole = size === 0 ? content.length : size
      if (whole === 0) throw new Error("Can't create zero length file")
      const old = find(name)
      let address = old === undefined ? -1 : old.address
      let room = old === undefined ? 0 : old.size
      if (offset === 0) {
        const same = old !== undefined && old.flags === 0 && old.size === whole
        if (
          same &&
          content.length === whole &&
          flash.read(address + HEADER, whole).every((one, i) => one === content[i])
        )
          return true
        if (old === undefined || !same || !isErased(address + HEADER, whole)) {
          if (old !== undefined) kill(old)
          address = create(name, whole)
          room = whole
        }
      }
      if (address < 0) throw new Error('Unable to find or create file')
      if (offset + content.length > room) throw new Error('Too much data for file size')
      if (!isErased(address + HEADER + offset, content.length))
        throw new Error('File already written with different data')
      flash.write(address + HEADER + offset, content)
      return true
    },
    erase(name) {
      const file = find(name)
      if (file !== undefined) kill(file)
    },
    eraseAll() {
      for (let at = 0; at < end; at += page) flash.erasePage(at)
    },
    list(pattern) {
      const names = chain(true).headers.filter(one => isReal(one) && one.flags === 0)
      return names.map(one => one.name).filter(name => pattern === undefined || name.match(pattern) !== null)
    },
    getFree: () => stats().freeBytes,
    getStats() {
      const { firstTrashPage: _, ...found } = stats()
      return found
    },
    compact() {
      compact()
    },
    checkAtPowerOn() {
      const { headers, last } = chain(true)
      if (last.blank && (headers.length > 0 || isErased(0, end))) return true
      const final = headers[headers.length - 1]
      if (last.address < 0 && final !== undefined) {
        // The engine sees a full store only where no header fits behind the last file.
        if (aligned(final.address + HEADER + final.size) + HEADER > end) return true
      }
      this.eraseAll()
      return false
    },
    addressOf(name) {
      const file = find(name)
      return file === undefined ? -1 : file.address + HEADER
    },
  }
}
