/**
 * Runs the same ES5 text on every engine at hand and gives back the lines it handed to `print`. The text must end by itself:
 * timers are not waited for. An error that the text does not catch, an engine that is not installed, or a run past its
 * longest time rejects.
 */
import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createContext, Script } from 'node:vm'
import { MISSING_GLOBALS, MISSING_METHODS, MISSING_STATICS } from '../../hal/espruino/build/rules/missing.ts'
import { dehoist } from './dehoist.ts'
import { DUK_SHIMS } from './shims.ts'

/** `node` is the reference; the `espruino` ones are the interpreter that the variable ESPRUINO names. */
export type EngineName = 'node' | 'dehoisted' | 'duk' | 'espruino file' | 'espruino flash'

export interface RunOptions {
  /** The longest it may take on the wall; 60 if left out. */
  seconds?: number
}

/** Path of the interpreter, or undefined. */
export const INTERPRETER: string | undefined = process.env['ESPRUINO'] || undefined

/** Those that can run here, the reference first. */
export const ENGINES: readonly EngineName[] = INTERPRETER
  ? ['node', 'dehoisted', 'duk', 'espruino file', 'espruino flash']
  : ['node', 'dehoisted', 'duk']

if (!INTERPRETER) console.info('ESPRUINO is not set: runs on the interpreter itself are left out.')

/** What it printed, a line each; a `print` of several values joins them with blanks. */
export async function runOn(engine: EngineName, code: string, options: RunOptions = {}): Promise<string[]> {
  const seconds = options.seconds ?? 60
  switch (engine) {
    case 'node':
      return inNode(code, seconds, false)
    case 'dehoisted':
      return inNode(dehoist(code), seconds, true)
    case 'duk':
      return inDuk(code, seconds)
    case 'espruino file':
      return inFolder(folder => interpret(folder, code, seconds))
    case 'espruino flash':
      return inFolder(async folder => {
        for (const script of storing(code)) await interpret(folder, script, seconds)
        return interpret(folder, `eval(require("Storage").read("app"));`, seconds)
      })
  }
}

/** Whether the interpreter has variables enough for a text of this length that is not in its flash: 250 for 1,000 bytes. */
export async function holdsInMemory(code: string): Promise<boolean> {
  const [total] = await runOn('espruino file', 'print(process.memory().total)')
  return Number(total) > code.length / 4
}

function inNode(code: string, seconds: number, poor: boolean): string[] {
  const lines: string[] = []
  const context = createContext({ print: (...values: unknown[]) => lines.push(values.join(' ')) })
  if (poor) new Script(taking()).runInContext(context)
  new Script(code).runInContext(context, { timeout: seconds * 1000 })
  return lines.flatMap(line => line.split('\n'))
}

/** Takes from a context what the board's engine does not have. */
function taking(): string {
  const from = (owners: typeof MISSING_STATICS, part: string): string[] =>
    Object.entries(owners).flatMap(([owner, names]) =>
      names.map(name => `delete ${owner}${part}[${JSON.stringify(name)}];`),
    )
  const globals = MISSING_GLOBALS.map(name => `delete globalThis.${name};`)
  return [...from(MISSING_STATICS, ''), ...from(MISSING_METHODS, '.prototype'), ...globals].join('\n')
}

function inDuk(code: string, seconds: number): Promise<string[]> {
  return inFolder(async folder => {
    writeFileSync(join(folder, 'run.js'), `${DUK_SHIMS}\n${code}`)
    const { status, output } = await run('duk', [join(folder, 'run.js')], folder, seconds)
    if (status !== 0) throw new Error(`duk ended with ${status}:\n${output.slice(-2000)}`)
    return output.split('\n').slice(0, -1)
  })
}

/** One run of the interpreter in a folder of its own, which holds its flash. Its greeting comes before the first mark. */
async function interpret(folder: string, code: string, seconds: number): Promise<string[]> {
  writeFileSync(join(folder, 'run.js'), `print("\\x02");\n${code}\nprint("\\x03");\n`)
  const { output } = await run(INTERPRETER ?? '', [join(folder, 'run.js')], folder, seconds)
  const told = output.replaceAll('\r', '')
  const lines = told.slice(told.indexOf('\x02\n') + 2, told.lastIndexOf('\x03\n') >>> 0)
  const wrong = /^(Uncaught|ERROR:|Execution Interrupted|.*Too much recursion|.*MEMORY).*/m.exec(lines)
  if (!told.includes('\x03\n') || wrong) {
    throw new Error(`the interpreter stopped: ${wrong?.[0] ?? 'no end'}\n${told.slice(-2000)}`)
  }
  return lines.split('\n').slice(0, -1)
}

/** Scripts that put a text into the interpreter's flash as the file `app`; each small, since a script is held in memory. */
function storing(text: string): string[] {
  const scripts: string[] = []
  for (let from = 0; from < text.length; from += 24_000) {
    let script = 'var S=require("Storage");\n'
    for (let at = from; at < Math.min(from + 24_000, text.length); at += 240) {
      const part = Buffer.from(text.slice(at, at + 240), 'latin1').toString('base64')
      script += `S.write("app",atob("${part}"),${at}${at === 0 ? `,${text.length}` : ''});\n`
    }
    scripts.push(script)
  }
  return scripts
}

async function inFolder<T>(work: (folder: string) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-engine-'))
  try {
    return await work(folder)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

interface Ended {
  status: number | null
  output: string
}

/** The interpreter needs an input that stays open; it minds no gentle signal while it is busy. */
function run(program: string, args: string[], folder: string, seconds: number): Promise<Ended> {
  return new Promise((resolve, reject) => {
    const child = spawn(program, args, { cwd: folder, stdio: ['pipe', 'pipe', 'pipe'] })
    let output = ''
    const late = setTimeout(() => {
      child.kill('SIGKILL')
      reject(new Error(`${program} took longer than ${seconds} s:\n${output.slice(-2000)}`))
    }, seconds * 1000)
    child.stdout.setEncoding('latin1').on('data', text => {
      output += text
    })
    child.stderr.setEncoding('latin1').on('data', text => {
      if (program === 'duk') output += text
    })
    child.on('error', error => {
      clearTimeout(late)
      const missing = 'code' in error && error.code === 'ENOENT'
      reject(missing ? new Error(`${program} is not installed: apt-get install -y duktape socat`) : error)
    })
    child.on('close', status => {
      clearTimeout(late)
      resolve({ status, output })
    })
  })
}
