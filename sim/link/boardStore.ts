/**
 * The board's file store, worked from the laptop through the prompt: read, write in small pieces that are each read back,
 * erase, make room. Every step can be repeated: a piece that is already there and right is not written again. Assumes a
 * prompt with the asking helper installed. Errors of the store come as `BoardError`, of the line as `LinkError`.
 */
import { storeFull } from './messages.ts'
import { type BoardError, crcOf, type Prompt } from './prompt.ts'

/** Bytes of one piece: as base64 with what stands round it, it fits into a line. A multiple of 4, as flash wants it. */
export const PIECE_BYTES = 228
/** Check sums asked for in one question. */
const CHECKS_AT_ONCE = 20
/** A file's header in the store, and a little room for the store's own rounding. */
const HEADER_BYTES = 64

/** Functions put on the board, each small enough for a line. */
const HELPERS = [
  // Write a piece unless it is there; the CRC of what then stands there. z: size of the file, used by its first piece.
  "global.W=function(n,o,z,b){var S=require('Storage'),d=atob(b);if(S.read(n,o,d.length)!=d)" +
    'o?S.write(n,d,o):S.write(n,d,0,z);return E.CRC32(S.read(n,o,d.length))},1',
  // CRCs of k pieces of l bytes from o on.
  "global.C=function(n,o,l,k){for(var S=require('Storage'),r=[];k--;o+=l)r.push(E.CRC32(S.read(n,o,l)));return r},1",
  // Size, CRC of all but the last t bytes, those as base64, and how it begins.
  "global.F=function(n,t){var S=require('Storage'),d=S.read(n),l=d?d.length:0;return l<=t?[l]:" +
    "[l,E.CRC32(S.read(n,0,l-t)),t?btoa(S.read(n,l-t,t)):'',S.read(n,0,60)]},1",
]

/** One file as it lies on the board. */
export interface StoredFile {
  size: number
  /** CRC of all but the tail; undefined where the file is not longer than the tail. */
  crc32?: number
  /** Its last bytes, one character each. */
  tail: string
  /** How it begins, up to 60 characters. */
  head: string
}

/** A piece of a text: where, and what. */
export interface Piece {
  offset: number
  text: string
}

export function piecesOf(text: string, from = 0): Piece[] {
  const pieces: Piece[] = []
  for (let at = 0; at < text.length; at += PIECE_BYTES) {
    pieces.push({ offset: from + at, text: text.slice(at, at + PIECE_BYTES) })
  }
  return pieces
}

export type PieceState = 'right' | 'erased' | 'other'

const erasedCrc = (length: number): number => crcOf('\xff'.repeat(length))
const base64 = (text: string): string => Buffer.from(text, 'latin1').toString('base64')

export class BoardStore {
  constructor(
    private readonly prompt: Prompt,
    private readonly slowSeconds: number,
  ) {}

  /** Needed once, and again after a reset. */
  async install(): Promise<void> {
    await this.prompt.install()
    for (const helper of HELPERS) await this.prompt.ask(helper)
  }

  /** `tailBytes` may be 0. `undefined`: no such file. */
  async look(name: string, tailBytes: number): Promise<StoredFile | undefined> {
    const found = (await this.prompt.ask(`F('${name}',${tailBytes})`, this.slowSeconds)) as [
      number,
      number?,
      string?,
      string?,
    ]
    const [size, crc32, tail = '', head = ''] = found
    if (size === 0) return undefined
    return {
      size,
      ...(crc32 === undefined ? {} : { crc32 }),
      tail: Buffer.from(tail, 'base64').toString('latin1'),
      head,
    }
  }

  /** What stands on the board where these pieces belong; all but the last must be of full length. */
  async states(name: string, pieces: Piece[]): Promise<PieceState[]> {
    const states: PieceState[] = []
    for (let at = 0; at < pieces.length; ) {
      const first = pieces[at] as Piece
      const length = first.text.length
      let count = 1
      while (count < CHECKS_AT_ONCE && pieces[at + count]?.text.length === length) count++
      const found = (await this.prompt.ask(
        `C('${name}',${first.offset},${length},${count})`,
        this.slowSeconds,
      )) as number[]
      for (let i = 0; i < count; i++) {
        const piece = pieces[at + i] as Piece
        states.push(found[i] === crcOf(piece.text) ? 'right' : found[i] === erasedCrc(length) ? 'erased' : 'other')
      }
      at += count
    }
    return states
  }

  /** Writes one piece and reads it back; false when something else stands there. */
  async write(name: string, piece: Piece, fileSize: number): Promise<boolean> {
    const crc = await this.prompt.ask(`W('${name}',${piece.offset},${fileSize},'${base64(piece.text)}')`)
    return crc === crcOf(piece.text)
  }

  async erase(name: string): Promise<void> {
    await this.prompt.ask(`require('Storage').erase('${name}'),1`)
  }

  /** One file becomes a copy of another in one go on the board. */
  async copy(from: string, to: string): Promise<void> {
    await this.prompt.ask(`(function(S){S.write('${to}',S.read('${from}'))})(require('Storage')),1`, this.slowSeconds)
  }

  /**
   * Makes sure that so many bytes can be written, tidying up the store if that is what it takes (`tidying` is called
   * first: the power must not go then). Throws `LinkError` (storeFull).
   */
  async makeRoom(bytes: number, tidying: () => void): Promise<void> {
    const need = bytes + HEADER_BYTES
    let room = await this.room()
    if (room.free >= need) return
    if (room.free + room.trash >= need) {
      tidying()
      await this.prompt.ask("require('Storage').compact(),1", this.slowSeconds * 3)
      room = await this.room()
      if (room.free >= need) return
    }
    throw storeFull(need, room.free)
  }

  private async room(): Promise<{ free: number; trash: number }> {
    const [free, trash] = (await this.prompt.ask(
      "(function(s){return [s.freeBytes,s.trashBytes]})(require('Storage').getStats())",
      this.slowSeconds,
    )) as [number, number]
    return { free, trash }
  }
}

export type { BoardError }
