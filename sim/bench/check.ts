/**
 * The work of `check FILE...`: says of every file what is wrong with it, like a good compiler. The report goes to `out`,
 * the count in words to `err`. Gives 2 when anything is refused, 0 when there is nothing worse than a warning.
 */
import { checkFile, type FileReport, type LocatedProblem } from './loadFile.ts'

const EXIT_DONE = 0
const EXIT_BAD_INPUT = 2

/** Columns of a source line that are shown around the place. */
const SHOWN_COLUMNS = 100

/** Checks the files and prints; `out` and `err` get one line at a time, without its end. */
export function runCheck(
  files: string[],
  json: boolean,
  out: (line: string) => void,
  err: (line: string) => void,
): number {
  if (files.length === 0) {
    err('check: no file named; say check FILE..., or check --example tank, base or recipe for one to begin with')
    return EXIT_BAD_INPUT
  }
  const reports = files.map(file => checkFile(file))
  const problems = reports.flatMap(report => report.problems)
  const refused = problems.filter(problem => problem.severity === 'refused').length
  const warnings = problems.length - refused
  if (json) out(JSON.stringify({ files: reports.map(plainReport), refused, warnings }, null, 2))
  else for (const line of reports.flatMap(reportLines)) out(line)
  const filesRefused = reports.filter(report => !report.accepted).length
  const found = `${counted(refused, 'problem')}, ${counted(warnings, 'warning')}`
  err(`${counted(files.length, 'file')}, ${filesRefused} refused (${found})`)
  return refused > 0 ? EXIT_BAD_INPUT : EXIT_DONE
}

function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`
}

function plainReport(report: FileReport): object {
  return {
    file: report.file,
    kind: report.kind ?? null,
    accepted: report.accepted,
    problems: report.problems.map(({ lineText: _lineText, about: _about, ...problem }) => problem),
  }
}

/** A report as text, also for commands that could not load a file. */
export function reportLines(report: FileReport): string[] {
  if (report.problems.length === 0) return [`${report.file}: a ${report.kind}, no problems`]
  return report.problems.flatMap(problem => problemLines(report.file, problem))
}

function problemLines(file: string, problem: LocatedProblem): string[] {
  const where = problem.line > 0 ? `${file}:${problem.line}:${problem.column}` : file
  const place = problem.place === '' ? '' : ` ${problem.place}:`
  const hint = problem.hint === '' ? '' : ` (${problem.hint})`
  const line = `${where}: ${problem.severity}:${place} found ${problem.found}; allowed ${problem.allowed}${hint}`
  return problem.line > 0 ? [line, ...pointer(problem.lineText, problem.column)] : [line]
}

/** The source line, or the part of a long one around the column, with a caret below; nothing that could steer a terminal. */
function pointer(lineText: string, column: number): string[] {
  const from = Math.max(0, Math.min(column - 1 - SHOWN_COLUMNS / 2, lineText.length - SHOWN_COLUMNS))
  const shown = [...lineText.slice(from, from + SHOWN_COLUMNS)]
    .map(sign => (sign < ' ' || (sign > '~' && sign < '\u00a0') ? ' ' : sign))
    .join('')
  const mark = [...lineText.slice(from, column - 1)].length
  return [`    ${shown.trimEnd()}`, `    ${' '.repeat(mark)}^`]
}
