/**
 * `npm run golden`: compares the golden sessions with their files in test/golden and shows the lines that differ;
 * `npm run golden -- --accept` writes the files anew. Exit 3 when one differs and was not accepted.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { differingLines } from './difference.ts'
import { GOLDEN_SESSIONS, goldenText } from './sessions.ts'

const folder = fileURLToPath(new URL('../../../test/golden/', import.meta.url))
const accept = process.argv.includes('--accept')
let differing = 0
mkdirSync(folder, { recursive: true })
for (const session of GOLDEN_SESSIONS) {
  const file = `${folder}${session.name}.txt`
  const today = goldenText(session)
  const kept = existsSync(file) ? readFileSync(file, 'utf8') : ''
  if (today === kept) continue
  differing++
  console.log(`${session.name}${kept === '' ? ': new' : ''}`)
  for (const line of differingLines(kept, today)) console.log(`  ${line}`)
  if (accept) writeFileSync(file, today)
}
const words = `${GOLDEN_SESSIONS.length} sessions, ${differing} ${differing === 1 ? 'differs' : 'differ'}`
console.log(
  differing === 0 ? words : accept ? `${words}: accepted` : `${words}: \`npm run golden -- --accept\` if that is meant`,
)
process.exitCode = differing > 0 && !accept ? 3 : 0
