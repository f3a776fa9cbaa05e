/**
 * The page's look, after a drawing sheet: a title block of figures, narrow and wide lines, one
 * hue per verdict beside its sign. Hues differ in lightness as well, so that they stay apart for
 * colour-blind readers; text on paper keeps 4.5 to 1 and more in both schemes (WCAG 2.2, 1.4.3).
 */
export const STYLE = `
:root{color-scheme:light dark;--paper:#fbfaf6;--sheet:#fff;--ink:#1d2530;--soft:#525c69;--rule:#b9c0c8;--faint:#e6e8e6;
--fits:#0a6158;--turned:#1f5a9c;--tilted:#6b3f98;--split:#a04510;--undecided:#565c66;--broken:#9c1436;--amber:#8a5200;--link:#174f86;--skin:#d9dcd6;--night:#dfe4ea}
@media (prefers-color-scheme:dark){:root{--paper:#14202c;--sheet:#1a2836;--ink:#e4ebf1;--soft:#a9b7c4;--rule:#4a5d6f;--faint:#273849;
--fits:#6fd0bd;--turned:#8fc1f5;--tilted:#cdabf2;--split:#f3a877;--undecided:#b9c0c9;--broken:#ff98ac;--amber:#f0b35a;--link:#9ccbf7;--skin:#40586c;--night:#101a24}.wash{filter:invert(1) hue-rotate(180deg)}}
*{box-sizing:border-box}
html{scroll-behavior:smooth;scroll-padding-top:3.4rem}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,sans-serif;font-variant-numeric:tabular-nums}
main,.top,footer{max-width:1280px;margin:0 auto;padding:0 clamp(.8rem,3vw,2rem)}
a{color:var(--link)}a:focus-visible,button:focus-visible,input:focus-visible,select:focus-visible,canvas:focus-visible,.scroll:focus-visible{outline:3px solid var(--amber);outline-offset:2px}
.skip{position:absolute;left:-99em}.skip:focus{left:1rem;top:1rem;background:var(--sheet);padding:.5rem;z-index:9}
h1{font-size:clamp(1.7rem,5vw,2.6rem);line-height:1.15;margin:1.6rem 0 .4rem;font-weight:650;letter-spacing:-.01em}
h2{font-size:1.45rem;margin:2.6rem 0 .6rem;padding-bottom:.25rem;border-bottom:2px solid var(--ink)}
h3{font-size:1.15rem;margin:0;overflow-wrap:anywhere}h4{margin:1.2rem 0 .3rem;font-size:1rem}
.lead{font-size:1.15rem;max-width:62ch;margin:.2rem 0 1.2rem}
.note,figcaption,.figures{color:var(--soft);font-size:.875rem}
.block{display:flex;flex-wrap:wrap;border:2px solid var(--ink);background:var(--sheet);margin:0}
.block div{flex:1 1 7.4rem;padding:.45rem .7rem .5rem;box-shadow:1px 0 var(--rule),0 1px var(--rule)}
.block dt{font-size:.78rem;color:var(--soft)}.block dd{margin:0;font-size:1.3rem;font-weight:600;line-height:1.3}.block dd small{font-size:.85rem;font-weight:400;display:block}
nav.jump{position:sticky;top:0;z-index:5;background:var(--paper);border-bottom:1px solid var(--rule);overflow-x:auto;white-space:nowrap}
nav.jump ul{list-style:none;display:flex;gap:1.2rem;margin:0 auto;max-width:1280px;padding:.55rem clamp(.8rem,3vw,2rem)}
.choose{border:1px solid var(--rule);background:var(--sheet);padding:.6rem .8rem .8rem;margin:.8rem 0}.choose[hidden]{display:none}
fieldset{border:0;margin:0 0 .5rem;padding:0;display:flex;flex-wrap:wrap;gap:.4rem;min-width:0}legend{float:left;padding:0 .5rem 0 0;line-height:2.2}
.chip{display:inline-flex;align-items:center;gap:.35rem;border:1px solid var(--rule);border-radius:2px;padding:.15rem .55rem .15rem .35rem;cursor:pointer;min-height:2.2rem}
.chip b{font-weight:600;color:var(--soft)}.chip:has(:checked){border-color:var(--ink);box-shadow:inset 0 -3px var(--ink)}
.row{display:flex;flex-wrap:wrap;gap:.5rem 1.1rem;align-items:center}
select,input[type=search],button{font:inherit;color:inherit;background:var(--paper);border:1px solid var(--soft);border-radius:2px;padding:.25rem .5rem;min-height:2.2rem;max-width:100%}
button{cursor:pointer}input[type=checkbox]{accent-color:var(--ink);width:1.05rem;height:1.05rem}
.cards{list-style:none;margin:.6rem 0;padding:0;display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,218px),1fr));grid-auto-flow:dense;gap:1px;padding:1px}
.card{background:var(--sheet);box-shadow:0 0 0 1px var(--rule);padding:.7rem .8rem .6rem;display:flex;flex-direction:column;min-width:0}
.card[hidden],.part[hidden]{display:none}.card a{overflow-x:auto}.card .draw{max-width:none}@media (min-width:520px){.card.wide{grid-column:span 2}}
.card a{color:inherit;text-decoration:none;display:flex;flex-direction:column;flex:1;justify-content:flex-end}.card a:hover strong{text-decoration:underline}
.card .draw,.card .nopicture{margin:auto auto .4rem}.card strong{overflow-wrap:anywhere;line-height:1.25;border-top:1px solid var(--faint);padding-top:.4rem}
.card p{margin:.1rem 0 0}.nopicture .sign{width:5rem;height:5rem;opacity:.75}
.draw{display:block;max-width:100%;height:auto;color:var(--ink);overflow:visible}.l-neighbour{stroke:var(--soft)}.l-cutting{stroke:var(--split)}.l-centre{stroke:var(--tilted)}
.sign{width:1.45em;height:1.45em;fill:none;stroke:currentColor;stroke-width:1.7;stroke-linejoin:round;stroke-linecap:round;vertical-align:-.34em;flex:none;margin-right:.25em}
.verdict{font-weight:600;margin:.2rem 0}.verdict span{font-weight:400}
.v-fits .sign,.sign.v-fits,.verdict.v-fits{color:var(--fits)}.sign.v-fits-turned,.verdict.v-fits-turned{color:var(--turned)}.sign.v-fits-tilted,.verdict.v-fits-tilted{color:var(--tilted)}
.sign.v-too-big,.verdict.v-too-big{color:var(--split)}.sign.v-undecided,.verdict.v-undecided{color:var(--undecided)}.sign.v-unreadable,.verdict.v-unreadable{color:var(--broken)}
.part{background:var(--sheet);border:1px solid var(--rule);padding:.9rem clamp(.8rem,2vw,1.4rem);margin:1rem 0;content-visibility:auto;contain-intrinsic-size:auto 640px}
.part header{display:flex;flex-wrap:wrap;gap:.2rem 1rem;align-items:baseline;justify-content:space-between;border-bottom:1px solid var(--rule);padding-bottom:.4rem}
.part:target{border-color:var(--ink);box-shadow:inset 4px 0 var(--ink)}
.body{display:grid;grid-template-columns:minmax(0,1fr);gap:.5rem 2rem}@media (min-width:860px){.body{grid-template-columns:minmax(0,20rem) minmax(0,1fr)}}
.facts{margin:.6rem 0;border-top:1px solid var(--faint)}.facts div{display:flex;justify-content:space-between;gap:1rem;border-bottom:1px solid var(--faint);padding:.2rem 0}.facts dt{color:var(--soft)}.facts dd{margin:0;text-align:right}
figure{margin:.6rem 0;min-width:0}figcaption{margin-top:.3rem}.views{min-width:0}.pair,.small{display:flex;flex-wrap:wrap;gap:.4rem 1.6rem;align-items:flex-end}.pair figure{max-width:100%}.scale{fill:none;stroke:var(--soft);stroke-width:9}.small figure{max-width:100%}
.amber{color:var(--amber);font-weight:600}.bar{white-space:nowrap;display:inline-flex;gap:.3rem;align-items:center;color:var(--soft);font-size:.875rem}
.flaw{fill:var(--sheet);fill-opacity:.85;stroke:var(--broken);stroke-width:14}.draw text{font:600 84px system-ui,sans-serif;fill:var(--broken)}
.piece circle{fill:var(--sheet);stroke:var(--ink);stroke-width:10}.draw .piece text{fill:var(--ink);font-size:100px}
.centre circle{fill:var(--sheet);stroke:var(--ink);stroke-width:10}.centre path{fill:var(--ink)}.centre .plumb{fill:none;stroke:var(--ink);stroke-width:7;stroke-dasharray:120 20 6 20}
.feet polygon{fill:var(--faint);stroke:var(--ink);stroke-width:1.4}.feet .centre circle{stroke-width:1.4}
.figures-row{display:flex;flex-wrap:wrap;gap:1rem 2.4rem;align-items:flex-end}
.scroll{overflow-x:auto;max-width:100%}table{border-collapse:collapse;font-size:.9rem;margin:.3rem 0}th{text-align:left;font-weight:600;border-bottom:2px solid var(--ink);padding:.25rem .9rem .25rem 0;vertical-align:bottom}
td{border-bottom:1px solid var(--faint);padding:.3rem .9rem .3rem 0;vertical-align:top;white-space:nowrap}td.text{white-space:normal;min-width:9rem}tr.first td{font-weight:600}
.caution,.remark{border-left:4px solid var(--amber);padding:.1rem 0 .1rem .8rem;margin:.5rem 0;max-width:75ch}.remark{border-left-color:var(--rule)}
.sheet{display:inline-block;margin:.2rem .8rem .2rem 0}.back{margin:.8rem 0 0;font-size:.9rem}
.chart{display:block;width:100%;max-width:860px;min-width:600px;height:auto;margin-bottom:.9rem;font:12px system-ui,sans-serif}.chart text{fill:var(--ink)}.chart .grid{stroke:var(--rule);fill:none}.chart .night{fill:var(--night)}.chart .hour,.chart .day{fill:var(--soft)}
.chart .there{fill:var(--sheet)}
.plates{list-style:none;margin:.5rem 0;padding:0;display:grid;grid-template-columns:repeat(auto-fill,minmax(170px,1fr));gap:1rem 1.2rem}.plates li{min-width:0;overflow-wrap:anywhere}.plates p{margin:.1rem 0 0}
.plate{max-width:100%;height:auto;display:block;font:600 11px system-ui,sans-serif}.plate text{fill:var(--ink)}.plate .edge{fill:var(--sheet);stroke:var(--ink);stroke-width:1.4}.plate .lies{fill:var(--skin);stroke:var(--ink);stroke-width:.8}
.print rect{fill:var(--sheet);stroke:var(--ink);stroke-width:1.4}.print.alone rect{fill:var(--alone)}.print .on{font-weight:400;fill:var(--soft)}.print text{font-weight:600;paint-order:stroke;stroke:var(--sheet);stroke-width:4px}.hatch{stroke:var(--soft);stroke-width:1.6}
.spools circle{fill:none;stroke:var(--ink);stroke-width:1.4}.machines{padding-left:1.2rem}.changes{columns:21rem;column-gap:2rem;padding:0;list-style:none;font-size:.9rem}.changes li{break-inside:avoid;border-bottom:1px solid var(--faint);padding:.2rem 0}section>h3{margin-top:1.4rem}
.stage canvas{display:block;width:100%;height:min(62vh,420px);background:var(--paper);border:1px solid var(--rule);touch-action:none;cursor:grab}
.legend{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,17rem),1fr));gap:.3rem 1.6rem;padding:0;list-style:none}.legend svg.line{width:64px;height:10px;margin-right:.5rem;vertical-align:middle}
footer{margin-top:3rem;padding-bottom:2rem;color:var(--soft);font-size:.875rem}
@media (max-width:900px){td,th{padding-right:.5rem}}
@media (min-width:600px) and (max-width:900px){.block div{flex-basis:5.8rem;padding-inline:.5rem}.block dd{font-size:1.1rem}}
@media (max-width:500px){.block dd{font-size:1.1rem}.figures-row{gap:1rem}.figures-row figure{width:calc(50% - .5rem)}}
@media (prefers-reduced-motion:reduce){html{scroll-behavior:auto}}
@media print{:root{color-scheme:light;--paper:#fff;--sheet:#fff;--ink:#000;--soft:#444;--rule:#999;--faint:#ddd;--fits:#000;--turned:#000;--tilted:#000;--split:#000;--undecided:#000;--broken:#000;--amber:#000;--link:#000;--night:#e4e4e4}
.wash{filter:none}.body{grid-template-columns:minmax(0,13rem) minmax(0,1fr)}.cards{gap:0}.card{border:1px solid var(--rule);box-shadow:none;break-inside:avoid}.chart{break-inside:avoid}nav.jump,.choose,.turn,.back,.sheets,.skip{display:none!important}body{font-size:10.5pt}.cards{grid-template-columns:repeat(3,minmax(0,1fr))}.card .draw{zoom:.85}td,td.text{white-space:normal;min-width:0;padding-right:.5rem}th{padding-right:.5rem}table{font-size:8.5pt}
.part,.card,figure,tr,.plates li{break-inside:avoid}.part{content-visibility:visible;border-width:1px 0 0}h2,h3,h4{break-after:avoid}.scroll{overflow:visible}.chart{max-width:100%;min-width:0}@page{margin:14mm}}
`;
