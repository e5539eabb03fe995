/** How pages look: on a screen of any width from 320 pixels, light and dark, and printed. Colours are `palette.ts`'s. */

export const STYLE = `
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%;scroll-padding-top:1rem}
body{margin:0 auto;padding:0 1rem 2rem;max-width:52rem;background:var(--c-paper);color:var(--c-ink);
font:1rem/1.55 system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans",sans-serif;overflow-wrap:break-word}
h1{font-size:1.75rem;line-height:1.2;margin:2rem 0 .5rem}
h2{font-size:1.25rem;line-height:1.3;margin:2.5rem 0 .5rem;padding-top:.75rem;border-top:1px solid var(--c-line)}
p{margin:.5rem 0;max-width:42rem}
header p{font-size:1.0625rem}
a{color:var(--c-1)}
.skip{position:absolute;left:-100vw;padding:.5rem 1rem;background:var(--c-ink);color:var(--c-paper)}
.skip:focus{left:1rem;top:.5rem;z-index:2}
:focus-visible{outline:3px solid var(--c-2);outline-offset:2px}
main:focus{outline:none}
.unseen{position:absolute;width:1px;height:1px;margin:0;overflow:hidden;clip-path:inset(50%);white-space:nowrap}
nav ul{list-style:none;margin:1rem 0 0;padding:0;display:flex;flex-wrap:wrap;gap:.25rem 1.25rem}
nav a{display:inline-block;padding:.125rem 0}
dl{margin:1rem 0}
dt{color:var(--c-quiet)}
dd{margin:0;max-width:36rem}
.facts>div{display:grid;grid-template-columns:8rem 1fr;gap:0 1rem;margin:.5rem 0}
.figures{display:grid;grid-template-columns:repeat(auto-fill,minmax(7.5rem,1fr));gap:.75rem 1.25rem;margin:1.25rem 0}
.figures dt{font-size:.875rem;line-height:1.35}
.figures dd{font-size:1.5rem;line-height:1.3;font-variant-numeric:tabular-nums}
.figures div{display:flex;flex-direction:column-reverse;justify-content:flex-end}
.hint{display:none;color:var(--c-quiet);font-size:.9375rem;margin-top:2rem}
.live .hint{display:block}
figure{margin:1.25rem 0 1.75rem;position:relative}
figcaption{color:var(--c-quiet);font-size:.9375rem;line-height:1.45;margin-top:.375rem;max-width:42rem}
.chart{position:relative;touch-action:pan-y pinch-zoom}
.still svg{display:block;width:100%;height:auto}
.still.narrow{display:none}
.drawn>.still{display:none}
.small{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,15rem),1fr));gap:0 1rem}
.small figure{margin:.5rem 0}
details{margin-top:.375rem;font-size:.9375rem}
summary{cursor:pointer;color:var(--c-quiet);padding:.25rem 0;width:max-content;max-width:100%}
.frame{overflow-x:auto;margin:.75rem 0}
details .frame{max-height:24rem;overflow:auto}
table{border-collapse:collapse;font-size:.9375rem;line-height:1.4;font-variant-numeric:tabular-nums}
caption{text-align:left;color:var(--c-quiet);padding-bottom:.25rem}
th,td{text-align:left;vertical-align:top;padding:.3125rem .875rem .3125rem 0;border-bottom:1px solid var(--c-line)}
thead th{color:var(--c-quiet);font-weight:600;vertical-align:bottom;border-bottom-color:var(--c-quiet)}
tbody th{font-weight:600}
th.n,td.n{text-align:right}
.s{white-space:nowrap}
tr>:last-child{padding-right:0}
footer{margin-top:3rem;padding-top:.75rem;border-top:1px solid var(--c-line);color:var(--c-quiet);font-size:.875rem}
@media (max-width:36rem){
.facts>div{display:block}
.facts dt{font-size:.875rem}
tbody th{position:sticky;left:0;background:var(--c-paper)}
h1{font-size:1.5rem;margin-top:1.25rem}
.still.wide{display:none}.still.narrow{display:block}.drawn>.still.narrow{display:none}
}
@media (prefers-reduced-motion:no-preference){html{scroll-behavior:smooth}}
@media print{
@page{margin:15mm}
html{font-size:9.5pt}
body{max-width:none;padding:0}
h1{margin-top:0}
h2{margin-top:1.5rem}
figure{margin:.75rem 0 1rem}
.still svg{max-height:100mm}
.hint{display:none!important}
tbody th{position:static}
.skip,nav,details,.place,#spoken{display:none!important}
.chart>.still.wide,.small .chart>.still{display:block!important}
.chart>.still.narrow{display:none!important}
figure,tr,dl>div{break-inside:avoid}
h2{break-after:avoid}
thead{display:table-header-group}
.frame{overflow:visible}
.small{grid-template-columns:repeat(3,1fr)}
a{color:inherit;text-decoration:none}
}
`
