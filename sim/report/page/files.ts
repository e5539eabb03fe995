/**
 * Where a page goes: the file of `--report` and the folder of `--svg`. Both are tried before the work begins, so that an hour's
 * run does not end with a place that cannot be written. Throws `InputError` in words.
 */
import { accessSync, constants, mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { InputError } from '../../bench/inputError.ts'
import { kindOf, openWhole, tryWhole, unwritable } from '../../bench/wholeFile.ts'
import { chartsOf, type Page, renderPage, renderSvg } from './page.ts'

export interface ReportOptions {
  /** The HTML file, and the folder for the charts' pictures. */
  report?: string
  svg?: string
}

export interface ReportFiles {
  /** Writes the page and the pictures; says each on `warn`. */
  write(page: Page, warn: (text: string) => void): void
}

/** `undefined` when neither is asked for. */
export function openReport(options: ReportOptions): ReportFiles | undefined {
  const { report, svg } = options
  if (report === undefined && svg === undefined) return undefined
  if (svg !== undefined) openFolder(svg)
  if (report !== undefined) tryWhole('--report', report)
  return {
    write(page, warn) {
      if (report !== undefined) {
        const html = renderPage(page)
        writeWhole('--report', report, html)
        warn(`${report}: written, ${Math.ceil(Buffer.byteLength(html) / 1000)} kB; open it in any browser`)
      }
      if (svg !== undefined) {
        const charts = chartsOf(page)
        for (const chart of charts) writeWhole('--svg', join(svg, `${chart.name}.svg`), renderSvg(chart))
        warn(`${svg}: ${charts.length} pictures written`)
      }
    },
  }
}

function writeWhole(option: string, path: string, text: string): void {
  const file = openWhole(option, path)
  file.write(text)
  file.finish()
}

/** The folder is made where it is missing. */
function openFolder(path: string): void {
  if (kindOf(path) === 'file') throw new InputError([`--svg ${path}: this is a file; name a folder`])
  try {
    mkdirSync(path, { recursive: true })
    accessSync(path, constants.W_OK)
  } catch (cause) {
    throw new InputError([unwritable('--svg', path, cause)])
  }
}
