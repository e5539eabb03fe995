/** What of the browser the live charts use: the project is checked without a browser's types. */

export interface Element {
  textContent: string
  innerText: string
  clientWidth: number
  style: Record<string, string>
  className: string
  classList: { add(name: string): void; contains(name: string): boolean }
  tabIndex: number
  querySelector(selector: string): Element | null
  querySelectorAll(selector: string): Iterable<Element>
  append(child: Element): void
  remove(): void
  setAttribute(name: string, value: string): void
  addEventListener(kind: string, heard: (event: Key) => void): void
}

export interface Key {
  key: string
  shiftKey: boolean
  ctrlKey: boolean
  altKey: boolean
  metaKey: boolean
  preventDefault(): void
}

export interface MediaQuery {
  matches: boolean
  addEventListener(kind: 'change', heard: () => void): void
}

export interface Browser {
  document: Element & { createElement(tag: string): Element; documentElement: Element }
  matchMedia(query: string): MediaQuery
  ResizeObserver: new (seen: () => void) => { observe(element: Element): void }
}

export const browser = globalThis as unknown as Browser
