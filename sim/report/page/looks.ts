/** How the parts of a chart look in a palette: what every chart has in common. Pure. */
import type { Palette } from './palette.ts'
import { isPart, list, type Part } from './parts.ts'
import { BELOW_GRID, LEFT, RIGHT } from './room.ts'

export interface Look {
  palette: Palette
  width: number
  /** It answers to pointer and keys; otherwise it is a picture. */
  live: boolean
  /** The reader's system asks for little motion. */
  calm: boolean
}

export const FONT_SIZE = 12

export function legendLook(names: string[], look: Look): Part {
  return {
    show: names.length > 1,
    data: names,
    type: 'plain',
    top: 0,
    left: 0,
    itemWidth: 26,
    itemHeight: 10,
    // A picture's letters may be wider where it is seen than where it was drawn.
    itemGap: look.live ? 14 : 22,
    selectedMode: look.live,
    backgroundColor: 'transparent',
    borderColor: 'transparent',
    inactiveColor: look.palette.quiet,
    textStyle: { color: look.palette.ink, fontSize: FONT_SIZE },
  }
}

export function tooltipLook(look: Look): Part {
  const { palette } = look
  return {
    show: look.live,
    confine: true,
    backgroundColor: palette.paper,
    borderColor: palette.quiet,
    textStyle: { color: palette.ink, fontSize: 13 },
    transitionDuration: look.calm ? 0 : 0.2,
    axisPointer: {
      animation: false,
      lineStyle: { color: palette.quiet },
      crossStyle: { color: palette.quiet },
      label: { backgroundColor: palette.ink, color: palette.paper },
    },
  }
}

export function polarLook(legendLines: number): Part {
  return { center: ['50%', `${50 + 4 * legendLines}%`], radius: '70%' }
}

export function marksLook(mark: string, look: Look): Part {
  const { palette } = look
  const label = { color: palette.quiet, fontSize: 11, textBorderColor: 'transparent' }
  const usual: Part = {
    silent: true,
    symbol: mark === 'markPoint' ? 'pin' : 'none',
    label,
    emphasis: { disabled: true },
  }
  if (mark === 'markLine') usual['lineStyle'] = { color: palette.quiet, width: 1, type: [3, 3] }
  if (mark === 'markArea') usual['itemStyle'] = { color: palette.shade }
  return usual
}

/** An axis of a kind: `xAxis`, `yAxis`, `angleAxis`, `radiusAxis`. */
export function axisLook(kind: string, axis: Part, look: Look): Part {
  const { palette } = look
  const formatter = isPart(axis['axisLabel']) ? axis['axisLabel']['formatter'] : undefined
  const usual: Part = {
    axisLine: { lineStyle: { color: palette.quiet } },
    axisTick: { lineStyle: { color: palette.quiet } },
    axisLabel: { color: palette.quiet, fontSize: 11, hideOverlap: true },
    splitLine: { show: kind !== 'xAxis', lineStyle: { color: palette.line } },
    minorTick: { show: false },
    nameTextStyle: { color: palette.quiet, fontSize: FONT_SIZE },
    axisPointer: { label: { ...(formatter !== undefined && { formatter }) } },
  }
  if (kind === 'radiusAxis') {
    // Its labels lie among the lines.
    usual['axisLabel'] = { color: palette.quiet, fontSize: 10, backgroundColor: palette.paper, padding: [0, 2] }
    Object.assign(usual, { axisLine: { show: false }, axisTick: { show: false }, z: 10 })
  }
  if (kind === 'xAxis') Object.assign(usual, { nameLocation: 'middle', nameGap: BELOW_GRID })
  if (kind === 'yAxis') {
    // The name stands above the axis, flush with the picture's left edge.
    usual['nameTextStyle'] = { color: palette.quiet, fontSize: FONT_SIZE, align: 'left', padding: [0, 0, 0, -LEFT + 6] }
    usual['nameGap'] = 10
  }
  return usual
}

/** A picture shows the same part; live, wheel with a key held, drag, and a slider move it. */
export function zooms(option: Part, look: Look): Part[] {
  const { palette } = look
  const axes = list(option['xAxis']).map((_, i) => i)
  return list(option['dataZoom']).flatMap(zoom => {
    const both = { xAxisIndex: axes, filterMode: 'filter', ...zoom }
    const inside = {
      ...both,
      type: 'inside',
      zoomOnMouseWheel: 'shift',
      moveOnMouseWheel: false,
      // A finger that goes up or down over a chart moves the page.
      preventDefaultMouseMove: false,
      disabled: !look.live,
    }
    if (!look.live) return [inside]
    const slider = {
      ...both,
      type: 'slider',
      height: 20,
      bottom: 4,
      left: LEFT,
      right: RIGHT,
      showDataShadow: false,
      showDetail: false,
      brushSelect: false,
      backgroundColor: palette.shade,
      borderColor: palette.line,
      fillerColor: palette.line,
      handleStyle: { color: palette.paper, borderColor: palette.quiet },
      moveHandleStyle: { color: palette.quiet },
      emphasis: { handleStyle: { borderColor: palette.ink }, moveHandleStyle: { color: palette.ink } },
    }
    return [inside, slider]
  })
}
