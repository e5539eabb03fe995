/**
 * Runs a bundle on another engine and gives back what it printed: duktape as installed, or the board's interpreter whose
 * path the variable ESPRUINO holds, from a file or out of its flash. Throws with what the engine said when it fails.
 */
import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

export type Engine = 'duk' | 'flash'

const LONGEST_SECONDS = 300
/** A file of the interpreter's store: its size, its name in 28 bytes, its text; what is not written is 0xFF. */
const FLASH_BYTES = 262_144
const NAME_BYTES = 28
/** What the bundle's own constructors need and duktape lacks. */
const SHIM = `if(!Uint8Array.prototype.fill)Uint8Array.prototype.fill=Float64Array.prototype.fill=function(v){for(var i=0;i<this.length;i++)this[i]=v;return this};\n`

export async function runOnEngine(engine: Engine, code: string): Promise<string[]> {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-bench-'))
  try {
    const file = join(folder, 'run.js')
    if (engine === 'duk') {
      writeFileSync(file, SHIM + code)
      return await linesOf('duk', file, folder)
    }
    writeFileSync(join(folder, 'espruino.flash'), flashWith('app', code))
    writeFileSync(file, 'eval(require("Storage").read("app"));\n')
    return await linesOf(process.env['ESPRUINO'] ?? '', file, folder)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

function flashWith(name: string, text: string): Buffer {
  const flash = Buffer.alloc(FLASH_BYTES, 0xff)
  flash.writeUInt32LE(text.length, 0)
  flash.fill(0, 4, 4 + NAME_BYTES)
  flash.write(name, 4, 'latin1')
  flash.write(text, 4 + NAME_BYTES, 'latin1')
  return flash
}

/** The interpreter wants an input that stays open. */
function linesOf(program: string, file: string, folder: string): Promise<string[]> {
  return new Promise((resolve, reject) => {
    const child = spawn(program, [file], { cwd: folder, stdio: ['pipe', 'pipe', 'pipe'] })
    let told = ''
    const late = setTimeout(() => child.kill('SIGKILL'), LONGEST_SECONDS * 1000)
    child.stdout.setEncoding('latin1').on('data', text => {
      told += text
    })
    child.stderr.setEncoding('latin1').on('data', text => {
      told += text
    })
    child.on('error', error => {
      clearTimeout(late)
      const missing = 'code' in error && error.code === 'ENOENT' && program === 'duk'
      reject(missing ? new Error('duk is not installed: apt-get install -y duktape') : error)
    })
    child.on('close', () => {
      clearTimeout(late)
      resolve(told.replaceAll('\r', '').split('\n'))
    })
  })
}
