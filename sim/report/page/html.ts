/** The small parts of a page's HTML. Pure; whatever is text is escaped here. */
import type { Table } from './page.ts'

const ENTITIES: Record<string, string> = { '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', "'": '&#39;' }

/** Text for an element or a quoted attribute. */
export function escaped(text: string): string {
  return text.replace(/[&<>"']/g, character => ENTITIES[character] as string)
}

export function attributes(named: Record<string, string>): string {
  return Object.entries(named)
    .map(([name, value]) => `${name}="${escaped(value)}"`)
    .join(' ')
}

/** Data for a script to read. No text in it can end the element, since `<` stands in it as its code. */
export function dataScript(id: string, data: unknown, className = ''): string {
  const json = JSON.stringify(data).replace(/</g, '\\u003c')
  const named = { type: 'application/json', ...(id && { id }), ...(className && { class: className }) }
  return `<script ${attributes(named)}>${json}</script>`
}

/** A table in a frame that scrolls where it is too wide. The first cell of a row is its name. */
export function tableHtml(table: Table, label: string): string {
  const looks = table.head.map((_, column) =>
    look(
      table.rows.map(row => row[column] ?? ''),
      column === 0,
    ),
  )
  const open = (tag: string, column: number, scope: string): string => {
    const name = looks[column]
    return `<${tag}${scope}${name ? ` class="${name}"` : ''}>`
  }
  const head = table.head.map((text, i) => `${open('th', i, ' scope="col"')}${escaped(text)}</th>`).join('')
  const rows = table.rows.map(row => {
    const cells = row.map((text, i) => {
      const tag = i === 0 ? 'th' : 'td'
      return `${open(tag, i, i === 0 ? ' scope="row"' : '')}${escaped(text)}</${tag}>`
    })
    return `<tr>${cells.join('')}</tr>`
  })
  const caption = table.caption === undefined ? '' : `<caption>${escaped(table.caption)}</caption>`
  const frame = attributes({ class: 'frame', tabindex: '0', role: 'region', 'aria-label': `Table: ${label}` })
  return `<div ${frame}><table>${caption}<thead><tr>${head}</tr></thead><tbody>\n${rows.join('\n')}\n</tbody></table></div>`
}

/** Short cells are not broken; in a few letters more a phone would show nothing but them. */
const SHORT = 28

/** Class names of a column: n for figures, some of them perhaps missing, s for short cells. */
function look(cells: string[], isName: boolean): string {
  const filled = cells.filter(cell => cell !== '')
  const figure = isName ? /^[-+±]?\d[\d.,:]*( ?[^\s\d]{1,3})?$/ : /^[-+±]?\d/
  const numeric = filled.length > 0 && filled.every(cell => figure.test(cell))
  const short = filled.every(cell => cell.length <= SHORT)
  return [...(numeric ? ['n'] : []), ...(short ? ['s'] : [])].join(' ')
}
