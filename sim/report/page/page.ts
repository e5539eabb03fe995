/**
 * A report as a page that a person looks at: data in, one self-contained HTML document out. What a page holds is said by the
 * types below; how it looks is decided here alone, so that every command's report looks alike.
 *
 * Charts are drawn twice from one option: into the page on the laptop, so that it can be read without scripts and
 * printed, and again in the browser, where they answer to pointer and keys. Nothing is fetched: library, style and
 * figures lie in the page, and its Content-Security-Policy forbids all else. Every text is escaped.
 */
import { createHash } from 'node:crypto'
import { browserScript, drawing } from './bundle.ts'
import { chartTable } from './chartTable.ts'
import { attributes, dataScript, escaped, tableHtml } from './html.ts'
import { COLOURS, DARK, LIGHT } from './palette.ts'
import { STYLE } from './style.ts'

export interface Page {
  title: string
  /** What the reader wants to know first, a paragraph each. */
  lead: string[]
  /** A few figures in large letters: what, and how much. */
  figures?: [term: string, figure: string][]
  sections: Section[]
  /** What the command prints with `--json`; lies in the page as it is, in `script#document`. */
  json: unknown
}

/** What a section has is shown in this order. */
export interface Section {
  heading: string
  /** A paragraph each. */
  words: string[]
  /** Short facts: what, and its figure or sentence. */
  facts?: [term: string, text: string][]
  chart?: Chart
  /** Small ones, side by side where there is room. */
  charts?: Chart[]
  table?: Table
}

export interface Chart {
  /** Of its file with `--svg`: a-z 0-9 and -, unique in the page. */
  name: string
  /** What it shows: the caption, and what a screen reader says. */
  says: string
  /** In pixels, with a legend of one line. */
  height: number
  /**
   * An option of Apache ECharts, of plain data. Colours come from the page's palette, dashes and symbols too; where one must be
   * chosen, `color` takes "@1" to "@6", "@ink", "@quiet", "@line" or "@paper", and `formatter`/`valueFormatter` take
   * a format of `formats.ts`: "@clock" (milliseconds as 4:05), "@fixed:1: mL". An axis of time counts milliseconds.
   * With `dataZoom: [{}]` a chart can be zoomed; the entry's `startValue`/`endValue` say what is shown at first.
   */
  option: object
  /** The chart's figures for those who cannot see it; made from the option when left out. */
  data?: Table
}

export interface Table {
  head: string[]
  rows: string[][]
  caption?: string
}

/** In pixels: what a page is drawn for on a desk and in print, on a phone, and in a row of small charts. */
const WIDE = 760
const NARROW = 360
const SMALL = 300
/** A picture on its own. */
const PICTURE = 960

/** Everything a page draws, in its order. */
export function chartsOf(page: Page): Chart[] {
  return page.sections.flatMap(section => [...(section.chart ? [section.chart] : []), ...(section.charts ?? [])])
}

/** The chart as an SVG document of its own, light, with its description in it. */
export function renderSvg(chart: Chart): string {
  const svg = drawing().svgOf(chart.option, chart.height, PICTURE, LIGHT)
  const head = `<title>${escaped(chart.says)}</title>`
  return svg.replace(/^<svg /, '<svg role="img" ').replace(/>/, `>\n${head}`)
}

/** The whole document. Throws `TypeError` when two charts have one name. */
export function renderPage(page: Page): string {
  const names = chartsOf(page).map(chart => chart.name)
  const twice = names.find((name, i) => names.indexOf(name) !== i)
  if (twice !== undefined) throw new TypeError(`chart ${twice}: two of one name; allowed: each name once in a page`)
  const script = names.length > 0 ? browserScript() : ''
  return [
    '<!DOCTYPE html>',
    '<html lang="en-GB">',
    '<head>',
    '<meta charset="utf-8">',
    `<meta http-equiv="Content-Security-Policy" content="${policy(script)}">`,
    '<meta name="viewport" content="width=device-width, initial-scale=1">',
    '<meta name="color-scheme" content="light dark">',
    `<title>${escaped(page.title)}</title>`,
    '<link rel="icon" href="data:,">',
    `<style>${COLOURS}${STYLE}</style>`,
    '</head>',
    '<body>',
    '<a class="skip" href="#report">Skip to the report</a>',
    `<header><h1>${escaped(page.title)}</h1>${paragraphs(page.lead)}${terms(page.figures, 'figures')}${contents(page)}</header>`,
    '<main id="report" tabindex="-1">',
    hint(page),
    ...page.sections.map(sectionHtml),
    '</main>',
    '<footer><p>Made by Evenbath on a simulated base. Nothing in this page comes from a network.</p></footer>',
    '<p id="spoken" class="unseen" aria-live="polite"></p>',
    dataScript('document', page.json),
    ...(script === '' ? [] : [dataScript('palettes', { light: LIGHT, dark: DARK }), `<script>${script}</script>`]),
    '</body>',
    '</html>',
    '',
  ].join('\n')
}

/** Only this very script runs; the chart library sets styles in elements. */
function policy(script: string): string {
  const allowed = script === '' ? "'none'" : `'sha256-${createHash('sha256').update(script).digest('base64')}'`
  return [
    "default-src 'none'",
    `script-src ${allowed}`,
    "style-src 'unsafe-inline'",
    'img-src data:',
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ')
}

function paragraphs(words: string[]): string {
  return words.map(text => `<p>${escaped(text)}</p>`).join('\n')
}

function terms(all: [string, string][] | undefined, name: string): string {
  if (all === undefined || all.length === 0) return ''
  const pairs = all.map(([term, text]) => `<div><dt>${escaped(term)}</dt><dd>${escaped(text)}</dd></div>`)
  return `<dl class="${name}">${pairs.join('\n')}</dl>`
}

function contents(page: Page): string {
  const links = page.sections.map(({ heading }, i) => `<li><a href="#s${i + 1}">${escaped(heading)}</a></li>`)
  return `<nav aria-label="Sections"><ul>${links.join('')}</ul></nav>`
}

function sectionHtml(section: Section, index: number): string {
  const id = `s${index + 1}`
  return [
    `<section id="${id}" aria-labelledby="${id}h">`,
    `<h2 id="${id}h">${escaped(section.heading)}</h2>`,
    paragraphs(section.words),
    terms(section.facts, 'facts'),
    section.chart === undefined ? '' : figureHtml(section.chart, false),
    section.charts === undefined
      ? ''
      : `<div class="small">${section.charts.map(c => figureHtml(c, true)).join('\n')}</div>`,
    section.table === undefined ? '' : tableHtml(section.table, section.heading),
    '</section>',
  ]
    .filter(part => part !== '')
    .join('\n')
}

function figureHtml(chart: Chart, small: boolean): string {
  const still = (width: number, name: string): string => {
    const svg = drawing().svgOf(chart.option, chart.height, width, COLOUR_NAMES)
    return `<div class="${name}" aria-hidden="true">${svg}</div>`
  }
  const stills = small ? still(SMALL, 'still') : `${still(WIDE, 'still wide')}${still(NARROW, 'still narrow')}`
  return [
    `<figure id="chart-${chart.name}">`,
    `<div ${attributes({ class: 'chart', role: 'img', 'aria-label': chart.says })}>${stills}</div>`,
    `<figcaption>${escaped(chart.says)}</figcaption>`,
    dataScript('', { option: chart.option, height: chart.height }, 'option'),
    `<details><summary>Figures of this chart</summary>${tableHtml(chart.data ?? chartTable(chart), chart.says)}</details>`,
    '</figure>',
  ].join('\n')
}

/** Shown when the charts are live. */
function hint(page: Page): string {
  const charts = chartsOf(page)
  if (charts.length === 0) return ''
  const zooms = charts.some(({ option }) => 'dataZoom' in option)
  return [
    '<p class="hint">Charts: point at one to read it',
    zooms ? ', drag the handles below it to zoom (or Shift and the wheel)' : '',
    '. With keys: Tab to a chart; ← and → read it, ',
    zooms ? '+ and − zoom, 0 shows the whole, ' : '',
    '1 to 9 hide and show a line.</p>',
  ].join('')
}

/** The colours of the page's style instead of colours: a still picture then follows light, dark and print. */
const COLOUR_NAMES = Object.fromEntries(Object.keys(LIGHT).map(role => [role, `var(--c-${role})`])) as typeof LIGHT
