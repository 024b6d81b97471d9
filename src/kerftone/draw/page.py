"""The look of the report page: one style sheet, for screen, phone and paper.

The reader's own fonts. Ink on white, headings in serif, one rule of rust under the name. Below 700 px the
table turns into cards; on paper rows, pictures and cautions are kept whole.
"""

from __future__ import annotations

from kerftone.draw.style import INK, RUST, SEA, SLATE, WOOD

PAGE_STYLE = f"""
:root {{ color-scheme: light; }}
* {{ box-sizing: border-box; }}
body {{ margin: 0; background: #fff; color: {INK}; font: 1rem/1.5 system-ui, sans-serif; }}
main, footer {{ max-width: 62rem; margin: 0 auto; padding: 0 1.25rem; }}
header {{ padding: 2rem 0 0.5rem; border-bottom: 3px solid {RUST}; margin-bottom: 1.5rem; }}
h1, h2 {{ font-family: ui-serif, serif; line-height: 1.15; overflow-wrap: anywhere; }}
h1 {{ font-size: 2.5rem; margin: 0.1rem 0 0.5rem; }}
h2 {{ font-size: 1.45rem; margin: 2rem 0 0.5rem; }}
p {{ margin: 0.4rem 0 0.8rem; max-width: 46rem; }}
.over {{ margin: 0; color: {RUST}; font-weight: 600; }}
header dl {{ display: flex; flex-wrap: wrap; gap: 0.4rem 2rem; margin: 0.8rem 0 1rem; }}
dt {{ color: {SLATE}; font-size: 0.875rem; }}
dd {{ margin: 0; font-weight: 600; overflow-wrap: anywhere; }}
table {{ width: 100%; border-collapse: collapse; font-variant-numeric: tabular-nums; }}
th, td {{ padding: 0.45rem 0.5rem; text-align: right; vertical-align: top; }}
thead th {{ font-size: 0.875rem; border-bottom: 2px solid {INK}; vertical-align: bottom; }}
tbody tr {{ border-bottom: 1px solid #cfc4ae; }}
tbody tr:nth-child(even) {{ background: {WOOD}; }}
th:first-child, th:nth-child(2), td:nth-child(2), th:nth-last-child(-n+2), td:nth-last-child(-n+2) {{
  text-align: left; }}
tbody th, td:nth-child(2) {{ font-weight: 700; }}
.off {{ display: block; color: {RUST}; font-size: 0.8125rem; font-weight: 600; }}
.hidden {{ position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }}
figure {{ margin: 0.8rem 0; }}
svg {{ display: block; width: 100%; height: auto; }}
.portrait {{ max-width: 34rem; margin: 0.6rem auto 1rem; }}
figcaption {{ font-size: 0.9375rem; margin-top: 0.35rem; }}
.wide {{ overflow-x: auto; }}
.wide:focus-visible {{ outline: 3px solid {SEA}; outline-offset: 3px; }}
.wide svg {{ min-width: 46rem; }}
.pictures {{ display: grid; gap: 0.4rem 1.5rem;
  grid-template-columns: repeat(auto-fill, minmax(17rem, 1fr)); }}
.key {{ font-weight: 700; color: #fff; padding: 0 0.45em; border-radius: 0.2em; print-color-adjust: exact; }}
.up {{ background: {RUST}; }}
.down {{ background: {SEA}; }}
audio {{ width: 100%; max-width: 46rem; }}
li {{ max-width: 46rem; margin-bottom: 0.35rem; }}
.cautions {{ background: {WOOD}; border-left: 5px solid {RUST};
  padding: 0.1rem 1.25rem 1rem; margin-top: 2rem; }}
.cautions h2 {{ margin-top: 1rem; }}
.cautions dl {{ display: grid; grid-template-columns: max-content 1fr; gap: 0.5rem 1.25rem; margin: 0; }}
.cautions dl > div {{ display: contents; }}
.cautions dt {{ font-weight: 700; color: {RUST}; font-size: 1rem; }}
.cautions dd {{ font-weight: 400; max-width: 46rem; }}
footer {{ color: {SLATE}; font-size: 0.875rem; padding-top: 1rem; padding-bottom: 2rem; }}
@media (max-width: 700px) {{
  h1 {{ font-size: 2rem; }}
  thead {{ position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }}
  table, tbody {{ display: block; }}
  tbody tr {{ display: grid; grid-template-columns: 1fr 1fr; border: 1px solid #cfc4ae; border-radius: 0.4rem;
    padding: 0.5rem 0.75rem; margin-bottom: 0.75rem; gap: 0.2rem 1rem; }}
  tbody tr > * {{ display: block; text-align: left; padding: 0.1rem 0; border: 0; }}
  tbody th {{ font-size: 1.25rem; background: none; }}
  tbody th::before, td::before {{ display: block; color: {SLATE}; font-size: 0.8125rem; font-weight: 400; }}
  tbody th::before {{ content: "Place"; }}
  td::before {{ content: attr(data-label); }}
  td:nth-child(2) {{ font-size: 1.25rem; }}
  .cautions dl {{ grid-template-columns: 1fr; gap: 0.1rem; }}
  .cautions dd {{ margin-bottom: 0.6rem; }}
}}
@page {{ margin: 14mm 13mm; }}
@media print {{
  html {{ font-size: 9.5pt; }}
  body {{ line-height: 1.4; }}
  main, footer {{ max-width: none; padding: 0; }}
  header {{ padding: 0; margin-bottom: 3mm; }}
  header dl {{ margin: 1.5mm 0 2.5mm; gap: 1mm 6mm; }}
  h1 {{ font-size: 24pt; }}
  h2 {{ font-size: 14pt; margin: 5mm 0 1.5mm; break-after: avoid; }}
  p, li, .cautions dd {{ max-width: none; }}
  th, td {{ padding: 1.2mm 1.5mm; }}
  tr, figure, li, .cautions dd {{ break-inside: avoid; }}
  .cautions dl {{ display: block; }}
  .cautions dl > div {{ display: block; break-inside: avoid; margin-bottom: 1.5mm; }}
  .cautions dt {{ display: inline; margin-right: 0.6em; }}
  .cautions dd {{ display: inline; }}
  thead {{ display: table-header-group; }}
  tbody tr:nth-child(even), .cautions {{ background: none; }}
  .wide {{ overflow: visible; }}
  .wide svg {{ min-width: 0; max-height: 90mm; margin: 0 auto; }}
  .pictures {{ grid-template-columns: repeat(3, 1fr); gap: 1mm 5mm; }}
  .portrait {{ max-width: 105mm; }}
  .screen {{ display: none; }}
  svg {{ print-color-adjust: exact; }}
}}
"""
