/** Where pages and pictures go, and what is said when they cannot. */
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { InputError } from '../../../../sim/bench/inputError.ts'
import { unwritable } from '../../../../sim/bench/wholeFile.ts'
import { openReport, type ReportOptions } from '../../../../sim/report/page/files.ts'
import { chartsOf } from '../../../../sim/report/page/page.ts'
import { elementsOf } from './markup.ts'
import { folder, KINDS, reported } from './support.ts'

function complaint(options: ReportOptions): string {
  try {
    openReport(options)
  } catch (thrown) {
    expect(thrown).toBeInstanceOf(InputError)
    return (thrown as InputError).problems.join('\n')
  }
  return 'none'
}

test('--svg makes its folder and writes each chart as a file, over what was there', () => {
  const svg = join(folder, 'made', 'here')
  const said: string[] = []
  for (let i = 0; i < 2; i++) openReport({ svg })?.write(KINDS, text => said.push(text))
  expect(readdirSync(svg).sort()).toEqual(
    chartsOf(KINDS)
      .map(chart => `${chart.name}.svg`)
      .sort(),
  )
  for (const name of readdirSync(svg)) elementsOf(readFileSync(join(svg, name), 'utf8'))
  expect(said[0]).toMatch(/5 pictures written/)
})

test('run --svg writes the charts of the session, a map for each bath among them', () => {
  const svg = join(folder, 'session')
  reported('with-svg.html', { svg })
  const names = readdirSync(svg)
  for (const name of ['temperature', 'bath-2', 'progress', 'legs', 'reversals', 'charge', 'immersion-7']) {
    expect(names).toContain(`${name}.svg`)
  }
})

test('a page is written over an older one, and nothing half-written is left', () => {
  const report = join(folder, 'over.html')
  writeFileSync(report, 'older')
  openReport({ report })
  expect(readFileSync(report, 'utf8')).toBe('older')
  openReport({ report })?.write(KINDS, () => {})
  elementsOf(readFileSync(report, 'utf8'))
  expect(readdirSync(folder).filter(name => name.includes('unfinished'))).toEqual([])
})

test('what cannot be written is said before the work, with what to do', () => {
  const file = join(folder, 'file')
  writeFileSync(file, '')
  mkdirSync(join(folder, 'sub'))
  expect(complaint({ report: join(folder, 'none', 'x.html') })).toMatch(/--report .*no such folder; make it first/)
  expect(complaint({ report: join(file, 'x.html') })).toMatch(/--report .*no such folder/)
  expect(complaint({ report: join(folder, 'sub') })).toMatch(/this is a folder; name a file in it/)
  expect(complaint({ report: `${join(folder, 'none')}/` })).toMatch(/this is a folder/)
  expect(complaint({ svg: file })).toMatch(/--svg .*this is a file; name a folder/)
  expect(complaint({ svg: join(file, 'sub') })).toMatch(/--svg .*no such folder/)
  expect(unwritable('--report', 'x.html', { code: 'EACCES' })).toMatch(/no permission .*change its permissions/)
  expect(unwritable('--report', 'x.html', { code: 'ENOSPC' })).toMatch(/disk is full/)
})

test('without either option there is nothing to write', () => {
  expect(openReport({})).toBeUndefined()
  expect(existsSync(join(folder, 'undefined'))).toBe(false)
})
