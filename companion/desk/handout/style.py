"""How a handout looks: on a screen, on a telephone and on paper.

Ink is nearly black and links dark blue on white, far above the contrast of 4.5 to 1 that
WCAG 2.2 asks for (success criterion 1.4.3). Nothing is told by colour alone.
"""

STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1.5rem; max-width: 56rem; background: #fff; color: #1a1a1a;
  font: 1rem/1.5 system-ui, "Liberation Sans", Arial, sans-serif; }
h1 { font-size: 1.8rem; line-height: 1.2; margin: 0 0 .3rem; }
h2 { font-size: 1.3rem; margin: 2.2rem 0 .5rem; border-bottom: 2px solid #1a1a1a; }
h3 { font-size: 1.08rem; margin: 1.3rem 0 .3rem; }
h4 { font-size: 1rem; margin: 1rem 0 .2rem; }
p, ul, ol { margin: .4rem 0; }
ul, ol { padding-left: 1.4rem; }
a { color: #0b3d91; }
a:focus-visible, audio:focus-visible { outline: 3px solid #0b3d91; outline-offset: 2px; }
.lead { font-size: 1.1em; }
.quiet { color: #4a4a4a; font-size: .92em; }
.caution { border: 2px solid #1a1a1a; border-radius: .4rem; padding: .6rem .9rem; }
svg.map, svg.notes { display: block; width: 100%; height: auto; margin: .6rem 0; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #767676; padding: .3rem .5rem; text-align: left;
  vertical-align: top; }
th { background: #f2f2f2; }
.count { font-variant-numeric: tabular-nums; white-space: nowrap; }
.sounds { display: grid; grid-template-columns: repeat(auto-fit, minmax(14rem, 1fr));
  gap: .8rem; }
figure { margin: 0; }
figcaption { font-weight: 600; }
audio { width: 100%; }
@media screen { .paper { display: none; } }
footer { margin-top: 2.5rem; border-top: 1px solid #767676; }
@page { margin: 16mm; }
@media print {
  body { padding: 0; max-width: none; font-size: 10.5pt; }
  h2, h3, h4 { break-after: avoid; }
  svg, tr, figure, .caution { break-inside: avoid; }
  audio, .screen { display: none; }
  th { background: none; }
  a { color: inherit; text-decoration: none; }
}
"""
"""The style sheet of every page."""
