/**
 * Every message that a maker may meet between laptop and board: what happened, then what to do. One function for each,
 * so that a reader finds them all here; each gives a `LinkError`, which the commands print and end with 2.
 */
import { InputError } from '../bench/inputError.ts'

export type LinkTrouble =
  | 'noPort'
  | 'noSuchPort'
  | 'noPermission'
  | 'busy'
  | 'notSerial'
  | 'cannotOpen'
  | 'noDriver'
  | 'pulled'
  | 'silent'
  | 'garbage'
  | 'notEngine'
  | 'unknownBoard'
  | 'wrongBoard'
  | 'noFirmware'
  | 'sessionRuns'
  | 'noAnswer'
  | 'storeFull'
  | 'storeRefused'
  | 'boardLost'
  | 'pullBroken'
  | 'noJournal'
  | 'crcDiffers'
  | 'noBuild'
  | 'badBuild'
  | 'noBundle'
  | 'badBundle'
  | 'badParams'
  | 'badRecipe'
  | 'tooLong'

/** What went wrong on the way to a board. `problems` are the lines to print. */
export class LinkError extends InputError {
  readonly trouble: LinkTrouble

  constructor(trouble: LinkTrouble, lines: string[]) {
    super(lines)
    this.name = 'LinkError'
    this.trouble = trouble
  }
}

const error = (trouble: LinkTrouble, ...lines: string[]): LinkError => new LinkError(trouble, lines)

const SHOW_PORTS = '`npm start --silent -- ports` shows the ports of this machine'

/** No `--port` was given; `paths` are the ports that may be a board. */
export const noPort = (paths: string[]): LinkError =>
  paths.length === 0
    ? error(
        'noPort',
        'No port given, and no serial port that looks like a board is there.',
        `Plug the base in with a cable that carries data (many only charge); ${SHOW_PORTS}.`,
      )
    : error('noPort', `No port given. Say which: ${paths.map(path => `--port ${path}`).join(' or ')}.`)

/** There is no port of that name. */
export const noSuchPort = (path: string): LinkError =>
  error(
    'noSuchPort',
    `${path}: no such port.`,
    `The board is unplugged, has no power, or came up under another name; ${SHOW_PORTS}.`,
  )

/** The port is there, but not for this user. */
export const noPermission = (path: string, platform: string = process.platform): LinkError =>
  platform === 'linux'
    ? error(
        'noPermission',
        `${path}: you may not use this port.`,
        'Put yourself into the group that owns serial ports: `sudo usermod -a -G dialout $USER` (on Arch: uucp),',
        'then log out and in again. `ls -l` on the port shows its group.',
      )
    : error('noPermission', `${path}: you may not use this port.`, 'Ask whoever runs this machine for access to it.')

/** Another program has the port. */
export const busy = (path: string): LinkError =>
  error(
    'busy',
    `${path}: another program has this port.`,
    'Close it (a terminal program, an editor with a serial monitor, another evenbath) and run this again.',
  )

/** The name is that of something else. */
export const notSerial = (path: string): LinkError =>
  error('notSerial', `${path}: this is not a serial port.`, `Name the port itself; ${SHOW_PORTS}.`)

/** The system gave another reason. */
export const cannotOpen = (path: string, reason: string): LinkError =>
  error(
    'cannotOpen',
    `${path}: cannot be opened (${reason}).`,
    'Unplug the board, plug it in again, and try once more.',
  )

/** The native part of the serial library is missing. */
export const noDriver = (reason: string): LinkError =>
  error(
    'noDriver',
    `Serial ports cannot be used on this machine: the library's native part does not load (${reason}).`,
    'Run `npm ci` on this very machine; everything else of Evenbath works without it.',
  )

/** The port vanished while in use. */
export const pulled = (path: string): LinkError =>
  error(
    'pulled',
    `${path}: the port has gone. The cable was pulled, or the board lost its power.`,
    'What the base is doing does not depend on the cable. Plug it in and run the same command again.',
  )

/** Not one byte came. */
export const silent = (path: string): LinkError =>
  error(
    'silent',
    `${path}: the board is silent, not one byte came back.`,
    'Look whether it has power and whether this is its port; press its reset button, wait 5 seconds and try again.',
    'A board fresh from the shop needs the JavaScript engine first: see the wiring guide.',
  )

/** Bytes came that are no text. */
export const garbage = (path: string): LinkError =>
  error(
    'garbage',
    `${path}: what comes back is no text. The speed is wrong, or a wire is loose.`,
    'The base talks 115200 baud, 8 bits, no parity. On a USB socket the speed does not matter: then this is another device.',
  )

/** Text came, but not the engine's. `heard` is the end of it. */
export const notEngine = (path: string, heard: string): LinkError =>
  error(
    'notEngine',
    `${path}: something answers, but not the prompt of the JavaScript engine (it said: ${heard}).`,
    'Perhaps it is another device, or a board without the engine: the wiring guide says how it is put on.',
  )

/** No wiring file is for a board of this name. */
export const unknownBoard = (board: string, allowed: string[]): LinkError =>
  error(
    'unknownBoard',
    `The board says that it is a ${board}; no wiring here is made for it.`,
    `If you have wired one: --wiring ${allowed.join(' or --wiring ')}.`,
  )

/** The bundle is for another board. */
export const wrongBoard = (wiring: string, board: string, fits: string | undefined): LinkError =>
  error(
    'wrongBoard',
    `Wrong board: the wiring ${wiring} is not for a ${board}. Nothing was changed.`,
    fits === undefined
      ? 'Its pins may drive what they should only read. Name the wiring that was made for this board.'
      : `For this board take --wiring ${fits} (or leave --wiring out).`,
  )

/** The prompt is there, the firmware is not. */
export const noFirmware = (path: string): LinkError =>
  error(
    'noFirmware',
    `${path}: the board answers, but no firmware runs on it.`,
    'Press its reset button and wait 10 seconds, or upload: `npm start --silent -- flash --port …`.',
  )

/** Not now. `state` is what the base says it does, `then` what was to be done. */
export const sessionRuns = (state: string, then = 'upload'): LinkError =>
  error(
    'sessionRuns',
    `Refused: a session runs on the base (${state}). Film may lie in it; nothing was changed.`,
    `Let it finish, or abandon it at the base (or with \`talk --port … session.abandon\`), then ${then}.`,
  )

/** A request went out and no reply came. */
export const noAnswer = (method: string, seconds: number): LinkError =>
  error(
    'noAnswer',
    `${method}: no answer within ${seconds} s. It may or may not have been done; \`talk --port … status\` tells.`,
    'A longer wait: --timeout SECONDS.',
  )

/** No room in the board's store even after tidying up. */
export const storeFull = (needBytes: number, freeBytes: number): LinkError =>
  error(
    'storeFull',
    `The board's store is full: ${needBytes} bytes are needed, ${freeBytes} are free.`,
    'Remove recipes that you do not use (`talk --port … recipe.list`, then recipe.remove), or take the reduced bundle.',
  )

/** The engine refused a write, with its own reason. */
export const storeRefused = (reason: string): LinkError =>
  error(
    'storeRefused',
    `The board's store refused a write (${reason}). What was sent does not count.`,
    'Run the same command again; if it comes back, the flash may be worn.',
  )

/** Lines went out and no right answer came, after several tries. */
export const boardLost = (path: string): LinkError =>
  error(
    'boardLost',
    `${path}: the board stopped answering in mid-way; it may have restarted, or the line is too noisy.`,
    'Run the same command again: it goes on where it stopped. A board with two slots starts the firmware it had until then.',
  )

/** What came is damaged or nothing comes, again and again; what was pulled until then is kept. */
export const pullBroken = (path: string): LinkError =>
  error(
    'pullBroken',
    `${path}: the base answers no more, or its answers come over damaged, also after several tries.`,
    'What has come is kept, and the base keeps the rest. Look at the cable and run the same command again.',
  )

/** A firmware from before there was `pull`, or a rehearsal. */
export const noJournal = (path: string, kind: string): LinkError =>
  kind === 'rehearsal'
    ? error(
        'noJournal',
        `${path}: a rehearsal runs on this base; it keeps no journal.`,
        'The journal of the real sessions is safe. Upload the firmware (`flash --port …`), then pull.',
      )
    : error(
        'noJournal',
        `${path}: the firmware on this base cannot give its journal.`,
        'It keeps it. Upload a newer firmware (`flash --port …`), then pull.',
      )

/** What the flash holds is not what was sent, twice. */
export const crcDiffers = (expected: string, found: string): LinkError =>
  error(
    'crcDiffers',
    `What the board holds differs from what was sent (CRC ${found}, expected ${expected}), also on a second try.`,
    'It does not count, and is not started. The flash may be worn, or the supply too weak.',
  )

/** `npm run build` has not been run. */
export const noBuild = (path: string): LinkError =>
  error('noBuild', `${path}: not there yet.`, 'Make the bundles first: `npm run build`.')

/** The manifest or a bundle is not what the build leaves. */
export const badBuild = (path: string, reason: string): LinkError =>
  error('badBuild', `${path}: ${reason}.`, 'Make the bundles again: `npm run build`.')

/** The build has no such bundle. */
export const noBundle = (kind: string, wiring: string, known: string[]): LinkError =>
  error(
    'noBundle',
    `No ${kind} bundle for the wiring ${wiring} in the build; there are: ${known.join(', ') || 'none'}.`,
    '`npm run build` makes all of them.',
  )

/** A file given with `--bundle` that is no firmware text. */
export const badBundle = (path: string, reason: string): LinkError =>
  error('badBundle', `${path}: not a bundle (${reason}).`, 'Bundles are made by `npm run build` and lie in dist/.')

/** Parameters that are no JSON. */
export const badParams = (text: string, reason: string): LinkError =>
  error(
    'badParams',
    `Not JSON: ${text.slice(0, 60)} (${reason}).`,
    'Put it between single quotes, names between double ones: \'{"name":"mine"}\'; or @FILE takes it from a file.',
  )

/** A recipe that the checker refuses; `problems` as it words them. */
export const badRecipe = (problems: string[]): LinkError =>
  new LinkError('badRecipe', ['Not sent: the recipe has problems.', ...problems])

/** More than the base can take in one request. */
export const tooLong = (method: string, characters: number, most: number): LinkError =>
  error(
    'tooLong',
    `${method}: ${characters} characters, and the base takes ${most} in one request. Nothing was sent.`,
    'In a recipe, shorten or leave out `note` and `source`; they are kept in your file.',
  )
