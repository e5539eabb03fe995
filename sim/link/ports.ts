/**
 * The serial ports of this machine with what is known of them. On Linux from the kernel's own tables under /sys, so that
 * it works without a device manager; elsewhere from the serial library. Cannot tell what runs on a board: that takes
 * opening the port.
 */
import { readdirSync, readFileSync, realpathSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { noDriver } from './messages.ts'
import { guessFrom } from './usbIds.ts'

export interface Port {
  path: string
  maker?: string
  product?: string
  serialNumber?: string
  /** Four hex digits. */
  vendorId?: string
  productId?: string
  /** What it seems to be, in words. */
  what: string
  likelyBoard: boolean
}

interface Raw {
  path: string
  maker?: string | undefined
  product?: string | undefined
  serialNumber?: string | undefined
  vendorId?: string | undefined
  productId?: string | undefined
}

function portFrom(raw: Raw): Port {
  const { what, likely } = guessFrom(raw.vendorId, raw.productId)
  const port: Port = { path: raw.path, what, likelyBoard: likely }
  for (const key of ['maker', 'product', 'serialNumber', 'vendorId', 'productId'] as const) {
    const text = raw[key]
    if (text !== undefined && text !== '') port[key] = text
  }
  return port
}

function line(path: string): string | undefined {
  try {
    return readFileSync(path, 'utf8').trim()
  } catch {
    return undefined
  }
}

/** The USB device that a terminal belongs to: the nearest folder above it that has ids. */
function usbFolder(device: string): string | undefined {
  for (let folder = device; folder.length > 1 && folder !== dirname(folder); folder = dirname(folder)) {
    if (line(join(folder, 'idVendor')) !== undefined) return folder
  }
  return undefined
}

/** Ports in the kernel's table. A classic port counts only where there is hardware behind it (type 0 is none). */
export function linuxPorts(table = '/sys/class/tty'): Port[] {
  let names: string[] = []
  try {
    names = readdirSync(table)
  } catch {
    return []
  }
  const ports: Port[] = []
  for (const name of names.sort()) {
    let device: string
    try {
      device = realpathSync(join(table, name, 'device'))
    } catch {
      continue
    }
    const usb = usbFolder(device)
    if (
      usb === undefined &&
      (/^(tty\d*|console|ptmx|pty.*|vc.*)$/.test(name) || line(join(table, name, 'type')) === '0')
    )
      continue
    const from = (key: string): string | undefined => (usb === undefined ? undefined : line(join(usb, key)))
    ports.push(
      portFrom({
        path: `/dev/${name}`,
        maker: from('manufacturer'),
        product: from('product'),
        serialNumber: from('serial'),
        vendorId: from('idVendor'),
        productId: from('idProduct'),
      }),
    )
  }
  return ports
}

/** All ports, likely boards first. Throws `LinkError` where the serial library does not load. */
export async function listPorts(): Promise<Port[]> {
  const ports = process.platform === 'linux' ? linuxPorts() : await libraryPorts()
  return ports.sort((a, b) => Number(b.likelyBoard) - Number(a.likelyBoard))
}

async function libraryPorts(): Promise<Port[]> {
  try {
    const { SerialPort } = await import('serialport')
    const found = await SerialPort.list()
    return found.map(({ path, manufacturer, serialNumber, vendorId, productId }) =>
      portFrom({ path, maker: manufacturer, serialNumber, vendorId, productId }),
    )
  } catch (thrown) {
    throw noDriver((thrown as Error).message.split('\n')[0] as string)
  }
}
