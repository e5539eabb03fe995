/**
 * A headless Chromium for tests of pages: started by itself, spoken to over its DevTools pipe, and ended by `close`. Everything
 * that a page says on its console, throws, refuses by its policy, or asks of a network is kept.
 *
 * Throws, with what to install, when there is no Chromium.
 */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Readable, Writable } from 'node:stream'
import { pathToFileURL } from 'node:url'

const NAMES = ['chromium', 'chromium-browser', 'google-chrome-stable']
const ANSWER_SECONDS = 30

type Answer = Record<string, unknown>

export interface View {
  width: number
  height?: number
  dark?: boolean
  calm?: boolean
  /** Scripts do not run. */
  still?: boolean
}

export interface Opened {
  /** Complaints of the page: console errors and warnings, exceptions, refusals. */
  complaints: string[]
  /** What was asked for besides the page itself. */
  asked: string[]
  /** The value of an expression in the page. */
  value<T>(expression: string): Promise<T>
  press(key: string): Promise<void>
  pointAt(x: number, y: number): Promise<void>
  /** A finger that begins there and goes up by so many pixels. */
  swipeUp(x: number, y: number, pixels: number): Promise<void>
  /** A PNG of the whole page. */
  picture(path: string): Promise<void>
  print(path: string): Promise<void>
}

export interface Browser {
  open(path: string, view: View): Promise<Opened>
  close(): Promise<void>
}

export function chromiumName(): string {
  const found = NAMES.find(name => spawnSync(name, ['--version'], { stdio: 'ignore' }).status === 0)
  if (found === undefined) {
    throw new Error(`no Chromium found (${NAMES.join(', ')}): install it, on Debian with: apt-get install -y chromium`)
  }
  return found
}

export function startBrowser(): Browser {
  const profile = mkdtempSync(join(tmpdir(), 'evenbath-chromium-'))
  const flags = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage', '--no-first-run']
  const quiet = ['--disable-background-networking', '--disable-component-update', '--disable-sync', '--hide-scrollbars']
  const args = [...flags, ...quiet, '--remote-debugging-pipe', `--user-data-dir=${profile}`, 'about:blank']
  const child = spawn(chromiumName(), args, { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] })
  const pipe = openPipe(child)
  return {
    open: (path, view) => openPage(pipe, path, view),
    async close() {
      const ended = new Promise(resolve => child.once('exit', resolve))
      await pipe.send('Browser.close').catch(() => child.kill('SIGKILL'))
      await ended
      rmSync(profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 })
    },
  }
}

interface Pipe {
  send(method: string, params?: object, sessionId?: string): Promise<Answer>
  listen(sessionId: string, heard: (method: string, params: Answer) => void): void
}

/** Messages are JSON, each ended by a zero byte: to the browser on descriptor 3, from it on 4. */
function openPipe(child: ChildProcess): Pipe {
  const to = child.stdio[3] as Writable
  const from = child.stdio[4] as Readable
  const waiting = new Map<number, { resolve: (answer: Answer) => void; reject: (error: Error) => void }>()
  const listeners = new Map<string, (method: string, params: Answer) => void>()
  let sent = 0
  let unread = Buffer.alloc(0)
  child.once('exit', () => {
    for (const { reject } of waiting.values()) reject(new Error('the browser ended'))
  })
  from.on('data', (chunk: Buffer) => {
    unread = Buffer.concat([unread, chunk])
    for (let end = unread.indexOf(0); end >= 0; end = unread.indexOf(0)) {
      take(JSON.parse(unread.subarray(0, end).toString()))
      unread = unread.subarray(end + 1)
    }
  })
  const take = (message: Answer): void => {
    if (typeof message['id'] !== 'number') {
      listeners.get(message['sessionId'] as string)?.(message['method'] as string, message['params'] as Answer)
      return
    }
    const asked = waiting.get(message['id'])
    waiting.delete(message['id'])
    if (message['error'] !== undefined) asked?.reject(new Error(JSON.stringify(message['error'])))
    else asked?.resolve(message['result'] as Answer)
  }
  return {
    send(method, params = {}, sessionId) {
      const id = ++sent
      return new Promise((resolve, reject) => {
        const late = setTimeout(() => reject(new Error(`${method}: no answer`)), ANSWER_SECONDS * 1000)
        const settled =
          <T>(settle: (value: T) => void) =>
          (value: T): void => {
            clearTimeout(late)
            settle(value)
          }
        waiting.set(id, { resolve: settled(resolve), reject: settled(reject) })
        to.write(`${JSON.stringify({ id, method, params, ...(sessionId && { sessionId }) })}\0`)
      })
    },
    listen: (sessionId, heard) => listeners.set(sessionId, heard),
  }
}

async function openPage(pipe: Pipe, path: string, view: View): Promise<Opened> {
  const { targetId } = await pipe.send('Target.createTarget', { url: 'about:blank' })
  const sessionId = (await pipe.send('Target.attachToTarget', { targetId, flatten: true }))['sessionId'] as string
  const send = (method: string, params: object = {}): Promise<Answer> => pipe.send(method, params, sessionId)
  const page = pathToFileURL(path).href
  const complaints: string[] = []
  const asked: string[] = []
  const loaded = new Promise<void>(resolve => {
    pipe.listen(sessionId, (method, params) => {
      if (method === 'Page.loadEventFired') resolve()
      const url = (params['request'] as { url?: string } | undefined)?.url
      if (method === 'Network.requestWillBeSent' && url !== page && !url?.startsWith('data:')) asked.push(String(url))
      if (isComplaint(method, params)) complaints.push(`${method} ${JSON.stringify(params).slice(0, 500)}`)
    })
  })
  for (const domain of ['Page', 'Runtime', 'Log', 'Network']) await send(`${domain}.enable`)
  const size = { width: view.width, height: view.height ?? 900, deviceScaleFactor: 1, mobile: view.width < 500 }
  await send('Emulation.setDeviceMetricsOverride', size)
  await send('Emulation.setTouchEmulationEnabled', { enabled: size.mobile })
  await send('Emulation.setEmulatedMedia', {
    features: [
      { name: 'prefers-color-scheme', value: view.dark === true ? 'dark' : 'light' },
      { name: 'prefers-reduced-motion', value: view.calm === true ? 'reduce' : 'no-preference' },
    ],
  })
  if (view.still === true) await send('Emulation.setScriptExecutionDisabled', { value: true })
  await send('Page.navigate', { url: page })
  await loaded
  const save = async (method: string, params: object, to: string): Promise<void> => {
    writeFileSync(to, Buffer.from((await send(method, params))['data'] as string, 'base64'))
  }
  return {
    complaints,
    asked,
    async value<T>(expression: string): Promise<T> {
      const params = { expression, returnByValue: true, awaitPromise: true }
      const { result, exceptionDetails } = await send('Runtime.evaluate', params)
      if (exceptionDetails !== undefined) throw new Error(JSON.stringify(exceptionDetails))
      return (result as { value: T }).value
    },
    async press(key) {
      // A page behind another is not drawn.
      await send('Page.bringToFront')
      const text = key.length === 1 ? { text: key } : {}
      await send('Input.dispatchKeyEvent', { type: 'keyDown', key, code: key, ...text })
      await send('Input.dispatchKeyEvent', { type: 'keyUp', key, code: key })
    },
    async pointAt(x, y) {
      await send('Page.bringToFront')
      await send('Input.dispatchMouseEvent', { type: 'mouseMoved', x, y })
    },
    async swipeUp(x, y, pixels) {
      await send('Page.bringToFront')
      const touch = (type: string, points: object[]): Promise<Answer> =>
        send('Input.dispatchTouchEvent', { type, touchPoints: points })
      await touch('touchStart', [{ x, y }])
      for (let moved = 10; moved <= pixels; moved += 10) await touch('touchMove', [{ x, y: y - moved }])
      await touch('touchEnd', [])
    },
    picture: to => save('Page.captureScreenshot', { captureBeyondViewport: true, format: 'png' }, to),
    print: to => save('Page.printToPDF', { preferCSSPageSize: true, printBackground: false }, to),
  }
}

function isComplaint(method: string, params: Answer): boolean {
  if (method === 'Runtime.exceptionThrown') return true
  if (method === 'Runtime.consoleAPICalled') return ['error', 'warning', 'assert'].includes(params['type'] as string)
  if (method === 'Log.entryAdded') return ['error', 'warning'].includes((params['entry'] as Answer)['level'] as string)
  return false
}
