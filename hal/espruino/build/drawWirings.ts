/**
 * `npm run wiring`: draws every wiring and fills in the guide's tables, from the wiring files. Run it after a pin was
 * changed; a test compares what is committed.
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { checkWiring } from '../wiring/checkWiring.ts'
import { drawWiring } from '../wiring/drawing/draw.ts'
import { factsTable, pinTable } from '../wiring/drawing/table.ts'
import { esp32 } from '../wiring/esp32.ts'
import { pico } from '../wiring/pico.ts'
import { stm32f4 } from '../wiring/stm32f4.ts'

const FOLDER = new URL('../wiring/', import.meta.url)
const WIRINGS = [pico, stm32f4, esp32]

/** Each generated file and what it should hold; throws for a wiring that is wrong. */
export function wiringFiles(): { path: string; text: string }[] {
  for (const wiring of WIRINGS) {
    const problems = checkWiring(wiring).map(one => `${one.field} is ${one.found} (allowed: ${one.allowed})`)
    if (problems.length > 0) throw new Error(`wiring ${wiring.name}: ${problems.join('; ')}`)
  }
  const guide = fileURLToPath(new URL('GUIDE.md', FOLDER))
  let text = readFileSync(guide, 'utf8')
  for (const wiring of WIRINGS) text = filled(text, `pins ${wiring.name}`, pinTable(wiring))
  text = filled(text, 'facts', factsTable(WIRINGS))
  return [
    { path: guide, text },
    ...WIRINGS.map(wiring => ({
      path: fileURLToPath(new URL(`${wiring.name}.svg`, FOLDER)),
      text: drawWiring(wiring),
    })),
  ]
}

/** Puts a piece between its two marks. */
function filled(text: string, name: string, piece: string): string {
  const begin = `<!-- ${name} -->`
  const end = `<!-- end of ${name} -->`
  const from = text.indexOf(begin)
  const to = text.indexOf(end)
  if (from < 0 || to < from) throw new Error(`the guide lacks the marks of "${name}"`)
  return `${text.slice(0, from + begin.length)}\n\n${piece}\n\n${text.slice(to)}`
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  for (const { path, text } of wiringFiles()) writeFileSync(path, text)
}
