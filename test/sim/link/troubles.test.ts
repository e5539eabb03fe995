/** What goes wrong between laptop and board, each with its own message that says what to do. */
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { beforeAll, expect, test } from 'vitest'
import { crc32 } from '../../../sim/crc32.ts'
import { wiringFor } from '../../../sim/link/boards.ts'
import { builtBundle, bundleFile, hex8 } from '../../../sim/link/bundles.ts'
import { flashCommand } from '../../../sim/link/flashCommand.ts'
import { openLink } from '../../../sim/link/link.ts'
import { LinkError, noPermission, noPort } from '../../../sim/link/messages.ts'
import { talkCommand } from '../../../sim/link/talkCommand.ts'
import { openTrouble } from '../../../sim/link/wire.ts'
import { needSocat, openPair } from './portPair.ts'
import { smallFirmware, smallGuard } from './programs.ts'
import { boardWith, QUICK } from './quick.ts'

beforeAll(needSocat)

const folder = mkdtempSync(join(tmpdir(), 'evenbath-link-'))

/** A build with the small programs in it. */
function distWith(firmware = smallFirmware('1'), wiring = 'pico'): string {
  const dist = mkdtempSync(join(folder, 'dist-'))
  const bundles = [
    { file: 'guard.js', bundle: smallGuard() },
    { file: 'firmware.js', bundle: firmware },
  ].map(({ file, bundle }) => {
    writeFileSync(join(dist, file), bundle.text)
    return { file, kind: bundle.kind, wiring, bytes: bundle.text.length, crc32: hex8(bundle.crc32) }
  })
  writeFileSync(join(dist, 'manifest.json'), JSON.stringify({ version: '1', bundles }))
  return dist
}

async function troubleOf(work: () => unknown): Promise<LinkError> {
  try {
    await work()
  } catch (thrown) {
    if (thrown instanceof LinkError) return thrown
    throw thrown
  }
  throw new Error('nothing went wrong')
}

const nothing = (): void => {}
const flash = (port: string, more: object = {}): Promise<number> =>
  flashCommand({ port, dist: distWith(), ...more }, nothing, nothing, QUICK)

test.concurrent('a port that is not there, that is no port, or that another program has', async () => {
  expect((await troubleOf(() => openLink('/dev/ttyNowhere'))).trouble).toBe('noSuchPort')
  expect((await troubleOf(() => openLink(folder))).trouble).toBe('notSerial')
  expect((await troubleOf(() => openLink('/dev/null'))).trouble).toBe('notSerial')
  const board = await boardWith()
  const first = await openLink(board.path)
  expect((await troubleOf(() => openLink(board.path))).trouble).toBe('busy')
  await first.close()
})

test.concurrent('what the system says on opening is told apart, on every system', () => {
  const said: [string, string][] = [
    ['Error: Permission denied, cannot open /dev/ttyACM0', 'noPermission'],
    ['Error: No such file or directory, cannot open /dev/ttyACM0', 'noSuchPort'],
    ['Error Resource temporarily unavailable Cannot lock port', 'busy'],
    ['Opening COM3: Access denied', 'busy'],
    ['Opening COM9: File not found', 'noSuchPort'],
    ['Error: Device or resource busy, cannot open /dev/ttyUSB0', 'busy'],
    ['Error: Input/output error setting custom baud rate', 'cannotOpen'],
  ]
  for (const [reason, trouble] of said) expect(openTrouble('p', reason).trouble, reason).toBe(trouble)
  expect(noPermission('p', 'linux').message).toContain('usermod -a -G dialout')
  expect(noPermission('p', 'win32').message).not.toContain('dialout')
})

test.concurrent('without --port the ports that may be meant are named', () => {
  expect(noPort(['/dev/ttyACM0', '/dev/ttyUSB0']).message).toContain('--port /dev/ttyACM0 or --port /dev/ttyUSB0')
  expect(noPort([]).message).toContain('carries data')
})

test.concurrent('a silent board, garbage and another device are told apart', async () => {
  const answers: [string, string, string][] = [
    ['', 'silent', 'reset button'],
    ['\xf3\x80\xe0\xfe\x07\x9c\xd1'.repeat(5), 'garbage', '115200'],
    ['\r\nERROR\r\n', 'notEngine', 'it said: "ERROR'],
  ]
  const meet = async ([answer, trouble, words]: [string, string, string]): Promise<void> => {
    const pair = await openPair()
    pair.onText = () => pair.send(answer)
    const met = await troubleOf(() => flash(pair.path))
    expect(met.trouble).toBe(trouble)
    expect(met.message).toContain(words)
    await pair.pull()
  }
  await Promise.all(answers.map(meet))
})

test.concurrent('the wrong board is refused before anything is changed, an unknown one unless its wiring is said', async () => {
  const esp = await boardWith({ name: 'ESP32' })
  const wrong = await troubleOf(() => flash(esp.path, { wiring: 'pico' }))
  expect(wrong.trouble).toBe('wrongBoard')
  expect(wrong.message).toContain('--wiring esp32')
  expect(esp.storage.list()).toEqual([])
  const odd = await boardWith({ name: 'HOMEMADE' })
  expect((await troubleOf(() => flash(odd.path))).trouble).toBe('unknownBoard')
  expect(await flash(odd.path, { wiring: 'pico' })).toBe(0)
  expect(wiringFor('RP2040_PICO', undefined)).toBe('pico')
  expect(wiringFor('PICO_R1_3', undefined)).toBe('stm32f4')
})

test.concurrent('a build that is missing, incomplete or changed since is said so before the board is touched', async () => {
  const none = await troubleOf(() => flash('/dev/ttyNowhere', { dist: join(folder, 'none') }))
  expect(none.trouble).toBe('noBuild')
  expect(none.message).toContain('npm run build')
  const dist = distWith()
  expect((await troubleOf(() => builtBundle(dist, 'rehearsal', 'pico'))).trouble).toBe('noBundle')
  writeFileSync(join(dist, 'firmware.js'), 'changed')
  expect((await troubleOf(() => builtBundle(dist, 'firmware', 'pico'))).trouble).toBe('badBuild')
  writeFileSync(join(dist, 'manifest.json'), '[')
  expect((await troubleOf(() => builtBundle(dist, 'firmware', 'pico'))).trouble).toBe('badBuild')
})

test.concurrent('a file that is no bundle is refused; one that is gets padded to whole words', async () => {
  const write = (name: string, text: string): string => {
    writeFileSync(join(folder, name), text, 'latin1')
    return join(folder, name)
  }
  expect((await troubleOf(() => bundleFile(join(folder, 'none.js')))).message).toContain('no such file')
  expect((await troubleOf(() => bundleFile(write('a.js', 'var x')))).message).toContain('first line')
  expect((await troubleOf(() => bundleFile(write('b.js', '//evenbath 1 pico firmware\n"\xb0"')))).message).toContain(
    'ASCII',
  )
  const padded = bundleFile(write('c.js', '//evenbath 9 pico rehearsal\nx'))
  expect(padded).toMatchObject({ version: '9', wiring: 'pico', kind: 'rehearsal' })
  expect(padded.text.length % 4).toBe(0)
  expect(padded.crc32).toBe(crc32(Buffer.from(padded.text, 'latin1')))
})

test.concurrent('a wiring that is misspelt and a bundle for no board are refused before a port is opened', async () => {
  const misspelt = await troubleOf(() => flash('/dev/ttyNowhere', { wiring: 'picco' }))
  expect(misspelt.trouble).toBe('noBundle')
  expect(misspelt.message).toContain('pico')
  const bundle = join(folder, 'trace.js')
  writeFileSync(bundle, '//evenbath 9 any rehearsal\nx')
  const trace = await troubleOf(() => flash('/dev/ttyNowhere', { bundle }))
  expect(trace.trouble).toBe('badBundle')
  expect(trace.message).toContain('no board')
})

test.concurrent('flash says in plain words what it does and how it ended', async () => {
  const board = await boardWith()
  const said: string[] = []
  const printed: string[] = []
  const code = await flashCommand(
    { port: board.path, dist: distWith(), json: true },
    line => printed.push(line),
    line => said.push(line),
    QUICK,
  )
  expect(code).toBe(0)
  expect(said.join('\n')).toMatch(/Found RP2040_PICO .engine 2v29.; no firmware runs/)
  expect(said.join('\n')).toMatch(/CRC is right/)
  expect(said.at(-1)).toBe(
    'Firmware 1 runs from eb.a and has had its first healthy minute. `talk --port … status` shows whether an alarm stands.',
  )
  expect(JSON.parse(printed.join(''))).toMatchObject({ end: 'healthy', slot: 'eb.a', wiring: 'pico', kind: 'firmware' })

  const sick = smallFirmware('2', 2000, 0)
  const unhealthy = await flashCommand(
    { port: board.path, dist: distWith(sick) },
    nothing,
    line => said.push(line),
    QUICK,
  )
  expect(unhealthy).toBe(3)
  expect(said.join('\n')).toContain('has not had a healthy minute')
})

test.concurrent('parameters that are no JSON or no recipe are refused before the port is opened', async () => {
  const talk = (method: string, json: string): Promise<LinkError> =>
    troubleOf(() => talkCommand(method, json, { port: '/dev/ttyNowhere' }, nothing, nothing, QUICK))
  expect((await talk('motor.turn', '{rpm:3}')).trouble).toBe('badParams')
  expect((await talk('motor.turn', '3')).trouble).toBe('badParams')
  const bad = await talk('recipe.put', '{"name":"x"}')
  expect(bad.trouble).toBe('badRecipe')
  expect(bad.message).toMatch(/baths/)
  const file = join(folder, 'mine.json')
  writeFileSync(file, '{"name":\n"Mine"}')
  expect((await talk('recipe.put', `@${file}`)).message).toContain(`${file}:2`)
})
