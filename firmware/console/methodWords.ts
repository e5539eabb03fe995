/**
 * The console's methods in words, for people: the page METHODS.md is made from this and from the table. No part of any
 * bundle. A method without words does not compile into the page, and the page's test fails.
 */
import { METHODS } from './methods.ts'

interface Words {
  does: string
  result: string
  /** Refusals beyond the standard's own errors. */
  refused: string
}

const SESSION = 'in a session'

const WORDS: { [method: string]: Words } = {
  describe: {
    does: 'Says who this base is and what it can be asked.',
    result:
      '`{ base: "evenbath", version, wiring, serial, kind, slot, good, recipe, methods, protocol: 1, ignored, lostBytes }`; `serial`: of the board, no other base has it; `ignored`: files that were damaged at the start; `lostBytes`: what nobody read in time',
    refused: '',
  },
  status: {
    does: 'Tells the session, the bath and the pack as they are now; what is not known is null.',
    result:
      '`{ atClockSeconds, state, recipe, bath, bathNumber, baths, progress, boundPercent, bathCelsius, probeCelsius, believed, secondsToCue, rpm, charge, enough, darkSeconds, alarms, says, testTurn, mishaps }`; `alarms`: numbers of those that stand; `says`: what the screen says in its lowest lines; `testTurn`: none, asked or running',
    refused: '',
  },
  'recipe.list': { does: 'Names the recipes.', result: '`{ shipped: [name], put: [name] }`', refused: '' },
  'recipe.get': { does: 'Gives a recipe.', result: '`{ recipe }`', refused: '' },
  'recipe.put': {
    does: 'Checks a recipe and keeps it on the base. Where the board has no room for the checker it is taken on the word of a laptop that has checked it: `checkedBy`, the version of both, as `talk` sends it.',
    result: '`{ name, warnings: [problem] }`',
    refused: `-32602 with every problem in \`data\` (place, found, allowed, hint, severity); -31000 ${SESSION}, for the name of a recipe that ships, without room, or without the checker`,
  },
  'recipe.remove': {
    does: 'Removes a recipe that was put.',
    result: '`{ name }`',
    refused: `-31000 ${SESSION}, or one that ships`,
  },
  'session.start': {
    does: 'Plans a session, kept over a power cut; the press of advance that begins it is waited for. `millilitres`: one for all baths or a list, one for each. `films` in the tank; `filmsThrough` already through one litre of the solutions.',
    result: '`{ waitsFor: "advance", seconds: 30 }`: the screen says so for so long, the plan stays',
    refused: `-31000 ${SESSION}, and while a test turn is asked for or running`,
  },
  'session.advance': {
    does: 'Does what the press of advance would, where that turns nothing: the pour-out that is due begins, or the tank is empty.',
    result: '`{ taken: true }`',
    refused: '-31000 in every other state, and for a second one that comes at once: the first counts',
  },
  'session.hold': {
    does: 'On: stops the motor, not the clock. Off: the press of hold that lets it turn again is waited for.',
    result: '`{ taken: true }`, or `{ waitsFor: "hold", seconds: 30 }`',
    refused: '-31000 where nothing turns, or nothing is held',
  },
  'session.abandon': {
    does: 'Gives the session up. With a developed bath in the tank a press of hold on the base is waited for, because film would be spoilt.',
    result: '`{ taken: true }`, or `{ waitsFor: "hold", seconds: 30 }`',
    refused: '-31000 without `confirm: true`, or when it is over',
  },
  'session.dark': {
    does: 'Says how long the base was without power, when a person knows better than the base: what the film got meanwhile is counted anew. `status` tells what the base believes as `darkSeconds`.',
    result: '`{ taken: true }`',
    refused: '-31000 when no bath is in the tank that was there when the power went',
  },
  'calibration.get': {
    does: 'Tells the calibration of the probe that holds, and what the converter reads now.',
    result:
      '`{ from, kept, offsetCelsius, sigmaCelsius, lagSeconds, counts, probeCelsius }`; `kept`: what `calibration.set` was given, with `epochSeconds` of the wall clock, or null',
    refused: '',
  },
  'calibration.set': {
    does: 'Calibrates the probe, at once and for every start to come. `points`: 1 to 12 of [referenceCelsius, counts]; three that lie 5 C apart give the part a curve of its own, fewer an offset. `sigmaCelsius`: how well the reference is known.',
    result: 'as `calibration.get`',
    refused: `-32602 for a reading 10 C off the part; -31000 ${SESSION} or without room`,
  },
  'motor.turn': {
    does: 'Turns the tank for a test once advance is pressed on the base. Any press, trouble or alarm stops it.',
    result: '`{ waitsFor: "advance", seconds: 30 }`',
    refused: `-31000 ${SESSION} or faster than this base turns, and while a start is asked for; -31000 minus its number while an alarm stands`,
  },
  'wallClock.set': { does: 'Sets the wall clock.', result: '`{ epochSeconds }`', refused: '' },
  'telemetry.follow': {
    does: 'Sends the notification `telemetry` with what `status` tells, every so many seconds; 0 ends it.',
    result: '`{ everySeconds }`',
    refused: '',
  },
  'journal.list': {
    does: 'Tells where in the store the records lie, and how far they have been pulled.',
    result:
      '`{ areas: [[address, bytes]], blockBytes, sequence, session, pulled }`; `areas`: the older one first, up to where its records end; each block begins with a record. `sequence`: of the newest record; `session`: number of the last session; `pulled`: everything up to that sequence is on a disk elsewhere',
    refused: `-31000 ${SESSION}, or on a base that keeps no journal`,
  },
  'journal.read': {
    does: 'Reads the store: whatever stands there.',
    result: '`{ address, data, crc32 }`; `data`: the bytes as decimal numbers with commas; `crc32` of the bytes',
    refused: `-32602 beyond the end of the store; -31000 ${SESSION}, or on a base that keeps no journal`,
  },
  'journal.pulled': {
    does: 'Says that every record up to and including `sequence` is safe on a disk, so that the base may erase them when it comes to that. `address` and `crc32` of that very record (its last four bytes) prove it. To say it twice, or less than was said before, changes nothing.',
    result: '`{ pulled }`',
    refused: `-31000 ${SESSION}, when no such record is there, or on a base that keeps no journal`,
  },
  rehearse: {
    does: 'Rehearses a session on the simulated bath, really turning the motor if asked. Only in a rehearsal bundle.',
    result: "the bundle's own",
    refused: `-31000 ${SESSION}, or in any other bundle`,
  },
  prompt: {
    does: "Asks for the board's prompt, as five 0x03 in a row do: it has the port as soon as the motor is off and nothing asks it to turn, until it is to turn again.",
    result:
      '`{ seconds }` for which the wish stands; 0 at rest, where the prompt has the port. The notification `prompt` says when it is granted',
    refused: '',
  },
}

const HEAD = `# What a base can be asked over its line

Made from \`firmware/console/methods.ts\`; \`npx vitest run test/firmware/console -u\` makes it anew.

JSON-RPC 2.0. A request and a reply are one RFC 7464 element each: 0x1E, the JSON text on one line, 0x0A; all else on the
line is noise, and so is a bare > within a reply: the prompt's, at rest. Parameters go by name; one request at a time, no batches. At most 4,096 characters at rest and 2,048 in a
session, one request a tick. A request without \`id\` is a notification and gets no reply. Errors: -32700 not JSON, -32600
no request (too long or too deep also), -32601 no such method, -32602 parameters, -32603 went wrong inside, -31000
refused with the reason, -31000 minus its number while an alarm forbids it. Of two equal keys the engine takes the first.
`

/** METHODS.md. Throws for a method without words. */
export function methodsPage(): string {
  const parts = [HEAD]
  for (const method of METHODS) {
    const words = WORDS[method.name]
    if (words === undefined) throw new Error(`no words for ${method.name}`)
    parts.push(`\n## ${method.name}\n\n${words.does}\n\n`)
    for (const param of method.params) {
      const [name, ...allowed] = param.split(' ')
      const optional = name!.slice(-1) === '?'
      parts.push(`- \`${name!.replace('?', '')}\`: ${allowed.join(' ')}${optional ? '; may be left out' : ''}\n`)
    }
    parts.push(`- result: ${words.result}\n`)
    if (words.refused !== '') parts.push(`- refused: ${words.refused}\n`)
  }
  return parts.join('')
}
