/** Pages as text: whole, closed to the world, and safe from what a recipe may say. */
import { createHash } from 'node:crypto'
import { expect, test } from 'vitest'
import { chartsOf, type Page, renderPage, renderSvg } from '../../../../sim/report/page/page.ts'
import { attribute, documentOf, elementsOf } from './markup.ts'
import { fileOf, KINDS, reported, shortRecipe } from './support.ts'

const session = reported('session.html')

test('the page of a session is well-formed, and no id stands in it twice', () => {
  const elements = elementsOf(session.html)
  const ids = elements.flatMap(element => attribute(element, 'id') ?? [])
  expect(new Set(ids).size).toBe(ids.length)
  const tags = new Set(elements.map(element => element.tag))
  for (const tag of ['header', 'main', 'section', 'figure', 'figcaption', 'table', 'details', 'footer']) {
    expect(tags, tag).toContain(tag)
  }
  const links = elements.filter(element => element.tag === 'a').map(element => attribute(element, 'href'))
  for (const link of links) expect(ids).toContain(link?.slice(1))
})

test('the embedded document is the one that --json prints', () => {
  expect(documentOf(session.html)).toEqual(session.printed)
})

test('nothing is fetched: no address but within the page, and a policy that lets only its own script run', () => {
  const elements = elementsOf(session.html)
  for (const element of elements) {
    for (const name of ['src', 'href', 'xlink:href', 'action', 'srcset']) {
      const address = attribute(element, name)
      if (address !== undefined) expect(address).toMatch(/^(#|data:,$)/)
    }
    expect(element.attributes).not.toMatch(/\son[a-z]+=|url\((?!['"]?#)/)
  }
  expect(/<style>(.*?)<\/style>/s.exec(session.html)?.[1]).not.toMatch(/url\(|@import/)
  const policy = attribute(elements.find(element => /Content-Security-Policy/.test(element.attributes))!, 'content')
  expect(policy).toContain("default-src 'none'")
  const script = /<script>(.*?)<\/script>/s.exec(session.html)?.[1] ?? ''
  expect(policy).toContain(`script-src 'sha256-${createHash('sha256').update(script).digest('base64')}'`)
})

test('each chart has a picture for a desk and one for a phone, a description, a caption and its figures', () => {
  const figures = session.html.split('<figure ').slice(1)
  expect(figures.length).toBe(6 + session.printed.baths.length)
  for (const figure of figures) {
    expect(figure).toMatch(/role="img" aria-label="[^"]{20,}"/)
    expect(figure).toMatch(/<figcaption>[^<]{20,}/)
    expect(figure).toMatch(/<details><summary>.*<tbody>\n<tr>/s)
    expect(figure.match(/<svg /g)?.length).toBeGreaterThanOrEqual(1)
    expect(figure).toMatch(/<path/)
  }
})

test('pictures in the page take their colours from its style, so that they follow light and dark', () => {
  const pictures = session.html.match(/<svg .*?<\/svg>/gs) ?? []
  const colours = new Set(pictures.flatMap(picture => picture.match(/(?:fill|stroke)="[^"]+"/g) ?? []))
  for (const colour of colours) expect(colour).toMatch(/"(none|var\(--c-\w+\))"/)
  expect(colours.size).toBeGreaterThan(5)
})

test('the words of the terminal stand in the page', () => {
  const { baths } = session.printed
  expect(session.html).toContain(`${(100 * baths[1]!.trueProgress).toFixed(1)} %`)
  expect(session.html).toContain('within its own bound')
  expect(session.html).toContain('gloves, goggles, fresh air')
})

test('a title and a name with marks of HTML in them stay text', () => {
  const { html } = reported('short.html', { recipe: fileOf('short.json', shortRecipe('<b>A & "B"</b>')) })
  elementsOf(html)
  expect(html).toContain('&lt;b&gt;A &amp; &quot;B&quot;&lt;/b&gt;: one session')
  expect(html).toContain('1 a&lt;b&gt;&amp;c')
  const outsideScripts = html.replace(/<script.*?<\/script>/gs, '')
  expect(outsideScripts).not.toContain('<b>')
  expect(html).not.toContain('</script><')
})

test('data with the end of a script in it ends no script', () => {
  const json = { text: '</script><img src=x onerror=alert(1)>\u2028<!--' }
  const html = renderPage({ ...KINDS, json })
  elementsOf(html)
  expect(documentOf(html)).toEqual(json)
})

test('a session that was refused, and one with alarms, have their page too', () => {
  const refused = reported('refused.html', { charge: 1 })
  expect(refused.printed.baths).toEqual([])
  elementsOf(refused.html)
  expect(refused.html).toContain('REFUSED')
  expect(refused.html).toContain("script-src 'none'")
  const cold = reported('cold.html', { room: 5, pour: [25] })
  expect(cold.printed.alarms.length).toBeGreaterThan(0)
  elementsOf(cold.html)
  expect(cold.html).toContain('Bath too cold')
  expect(cold.html).toContain('warm the solutions and the room before the next bath')
})

test('every kind of chart is drawn, also as a picture of its own in plain colours with its description', () => {
  elementsOf(renderPage(KINDS))
  for (const chart of chartsOf(KINDS)) {
    const svg = renderSvg(chart)
    elementsOf(svg)
    expect(svg).toContain(`<title>${chart.says}</title>`)
    expect(svg).toContain('xmlns="http://www.w3.org/2000/svg"')
    expect(svg).toMatch(/#0072b2/)
    expect(svg).not.toContain('var(')
  }
})

test('the same page is the same bytes, but for the numbers of its pictures', () => {
  const plain = (html: string): string => html.replace(/still\d+-/g, 'still-').replace(/cls-\d+/g, 'cls-')
  expect(plain(renderPage(KINDS))).toBe(plain(renderPage(KINDS)))
})

test('two charts of one name are refused, since their files would be one', () => {
  const twice: Page = { ...KINDS, sections: [...KINDS.sections, ...KINDS.sections] }
  expect(() => renderPage(twice)).toThrow(/line.*each name once/)
})

test('a page without charts carries no library', () => {
  expect(renderPage({ title: 'Words', lead: ['only'], sections: [], json: {} }).length).toBeLessThan(10_000)
})
