/** A report as a test wants it: of one run, in a folder that is thrown away, with what the command printed. */
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type RunCommandOptions, runCommand } from '../../../../sim/bench/runCommand.ts'
import type { RunReport } from '../../../../sim/bench/runReport.ts'
import type { Page } from '../../../../sim/report/page/page.ts'

export const folder = mkdtempSync(join(tmpdir(), 'evenbath-page-'))

export function fileOf(name: string, text: string): string {
  const path = join(folder, name)
  writeFileSync(path, text)
  return path
}

export const DEFAULTS: RunCommandOptions = { recipe: 'colour-negative', seed: 1, room: 20, films: 0 }

export interface Reported {
  path: string
  html: string
  /** What `run --json` printed in the same run. */
  printed: RunReport
}

export function reported(name: string, options: Partial<RunCommandOptions> = {}): Reported {
  const path = join(folder, name)
  let printed = ''
  runCommand(
    { ...DEFAULTS, json: true, report: path, ...options },
    text => {
      printed += text
    },
    () => {},
  )
  return { path, html: readFileSync(path, 'utf8'), printed: JSON.parse(printed) }
}

/** A recipe of one short developer, with this title. */
export function shortRecipe(title: string): string {
  return JSON.stringify({
    name: 'short',
    title,
    pour: { fillSeconds: 8, drainSeconds: 10 },
    baths: [
      { name: 'a<b>&c', kind: 'developed', rows: [[20, 90], [30, 60]], rowsFor: 'rotary', agitation: 'even' }, // biome-ignore format: one line for the whole bath
    ],
    agitations: { even: { rpm: 45, legTurns: 2, restSeconds: 0.5, rampSeconds: 0.6, stagger: true } },
  })
}

/** A page with one chart of each kind that the bundle draws. */
export const KINDS: Page = {
  title: 'Kinds',
  lead: [],
  json: { some: 'thing' },
  sections: [
    {
      heading: 'All',
      words: [],
      charts: [
        chartOf('line', { xAxis: { type: 'value' }, yAxis: {}, series: [{ type: 'line', data: [[0, 1], [1, 3]] }] }), // biome-ignore format: one line a chart
        chartOf('scatter', { xAxis: {}, yAxis: {}, series: [{ type: 'scatter', data: [[0, 1], [1, 3]] }] }), // biome-ignore format: one line a chart
        chartOf('bar', { xAxis: {}, yAxis: { type: 'category', data: ['a', 'b'] }, series: [{ type: 'bar', name: 'x', data: [1, 2] }, { type: 'bar', name: 'y', data: [2, 3] }] }), // biome-ignore format: one line a chart
        chartOf('box', { xAxis: { type: 'category', data: ['a'] }, yAxis: {}, series: [{ type: 'boxplot', data: [[1, 2, 3, 4, 5]] }] }), // biome-ignore format: one line a chart
        chartOf('polar', { polar: {}, angleAxis: { max: 360 }, radiusAxis: {}, series: [{ type: 'line', coordinateSystem: 'polar', data: [[1, 0], [2, 90]] }] }), // biome-ignore format: one line a chart
      ],
    },
  ],
}

function chartOf(name: string, option: object): { name: string; says: string; height: number; option: object } {
  return { name, says: `a ${name}`, height: 240, option }
}
