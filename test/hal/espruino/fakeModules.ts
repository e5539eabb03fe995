/**
 * The engine's modules for files in flash and for bare flash, over the fakes of both: the store's memory and the bare
 * pages are at addresses, as on a board, and a text that was read from a file knows where it lies.
 */
import type { EngineFlash, EngineStorage, FlashArea } from '../../../hal/espruino/engine.ts'
import type { FakeFlash } from './fakeFlash.ts'
import type { FakeStorage } from './fakeStorage.ts'

/** Where the file store lies in flash: as on the reference board. */
export const STORE_ADDRESS = 0x101c0000

export interface FakeModules {
  Storage: EngineStorage
  Flash: EngineFlash
  /** Of the text that was read last; 0 for any other. */
  addressOf(text: unknown): number
}

export function createFakeModules(
  flash: FakeFlash,
  storage: FakeStorage,
  bare: FakeFlash,
  bareAddress: number,
): FakeModules {
  let lastFile: { text: string; address: number } | undefined
  const areaOf = (address: number, length: number): { of: FakeFlash; at: number } => {
    if (address >= STORE_ADDRESS && address + length <= STORE_ADDRESS + flash.bytes.length) {
      return { of: flash, at: address - STORE_ADDRESS }
    }
    if (address >= bareAddress && address + length <= bareAddress + bare.bytes.length) {
      return { of: bare, at: address - bareAddress }
    }
    throw new Error(`address ${address} outside flash`)
  }

  const storageModule = {
    ...storage,
    read(file: string, offset?: number, length?: number) {
      const text = storage.read(file, offset, length)
      if (text !== undefined) lastFile = { text, address: STORE_ADDRESS + storage.addressOf(file) }
      return text
    },
  }
  const flashModule = {
    getFree: (): FlashArea[] => [
      { addr: STORE_ADDRESS, length: flash.bytes.length },
      { addr: bareAddress, length: bare.bytes.length },
    ],
    getPage: (address: number) => {
      const { of, at } = areaOf(address, 1)
      return { addr: address - (at % of.pageBytes), length: of.pageBytes }
    },
    erasePage: (address: number) => {
      const { of, at } = areaOf(address, 1)
      of.erasePage(at)
    },
    write: (data: Uint8Array, address: number) => {
      const { of, at } = areaOf(address, data.length)
      of.write(at, data)
    },
    read: (length: number, address: number) => {
      const { of, at } = areaOf(address, length)
      return of.read(at, length)
    },
  }
  return {
    Storage: storageModule,
    Flash: flashModule,
    addressOf: text => (text === lastFile?.text ? (lastFile?.address ?? 0) : 0),
  }
}
