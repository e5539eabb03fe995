/** A strict reader of the HTML that pages are made of: every element closed, in its order; ids unique. */

const VOID = new Set(['meta', 'link', 'br', 'hr', 'img', 'input'])

export interface Element {
  tag: string
  attributes: string
  /** Where its inside begins. */
  from: number
}

/** All elements in their order. Throws where one is not closed, or closed by another's end. */
export function elementsOf(html: string): Element[] {
  const found: Element[] = []
  const open: string[] = []
  const tags = /<!--[\s\S]*?-->|<!DOCTYPE html>|<(\/?)([a-zA-Z][\w:-]*)((?:\s+[\w:-]+(?:="[^"<]*")?)*)\s*(\/?)>|</g
  for (let match = tags.exec(html); match !== null; match = tags.exec(html)) {
    const [whole, closing, tag, attributes, selfClosing] = match
    if (tag === undefined) {
      if (whole === '<') throw new Error(`no element: ${html.slice(match.index, match.index + 80)}`)
      continue
    }
    if (closing === '/') {
      const expected = open.pop()
      if (expected !== tag) throw new Error(`</${tag}> where <${expected}> is open`)
      continue
    }
    found.push({ tag, attributes: attributes ?? '', from: tags.lastIndex })
    if (VOID.has(tag) || selfClosing === '/') continue
    open.push(tag)
    if (tag === 'script' || tag === 'style') tags.lastIndex = html.indexOf(`</${tag}`, tags.lastIndex)
  }
  if (open.length > 0) throw new Error(`not closed: ${open.join(' ')}`)
  return found
}

export function attribute(element: Element, name: string): string | undefined {
  return new RegExp(`\\s${name}="([^"]*)"`).exec(element.attributes)?.[1]
}

/** The data of `script#document`. */
export function documentOf(html: string): unknown {
  const found = /<script type="application\/json" id="document">(.*?)<\/script>/s.exec(html)
  return JSON.parse(found?.[1] ?? 'null')
}
