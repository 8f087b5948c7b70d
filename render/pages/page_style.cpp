#include "render/canvas/colours.hpp"
#include "render/pages/page.hpp"

namespace sweepflux::render {
namespace {

constexpr const char* rules = R"css(
:root{--page:#f4f6f8}
@media (prefers-color-scheme:dark){:root{--page:#0f1319}}
*{box-sizing:border-box}
html{color-scheme:light dark;-webkit-text-size-adjust:100%;text-size-adjust:100%}
body{margin:0;background:var(--page);color:var(--sf-ink);line-height:1.55;
  font-family:system-ui,-apple-system,"Segoe UI",Roboto,"Noto Sans","DejaVu Sans",sans-serif}
header,nav,main,footer{max-width:66rem;margin:0 auto;padding:0 clamp(.9rem,4vw,2.5rem)}
header{padding-top:clamp(1.5rem,5vw,3rem)}
h1{font-size:clamp(1.5rem,5vw,2.3rem);line-height:1.2;margin:0 0 .4rem;text-wrap:balance;
  overflow-wrap:anywhere}
h2{font-size:1.35rem;line-height:1.3;margin:0 0 .8rem;overflow-wrap:anywhere}
h3{font-size:1.05rem;margin:1.4rem 0 .4rem;overflow-wrap:anywhere}
p,li{max-width:46rem;overflow-wrap:anywhere}
p{margin:.5rem 0}
ul{padding-left:1.2rem;margin:.5rem 0}
li{margin:.25rem 0}
a{color:inherit;text-underline-offset:.2em}
a:focus-visible,[tabindex]:focus-visible{outline:3px solid var(--sf-series-1);outline-offset:2px}
.subtitle{color:var(--sf-muted);margin:.1rem 0}
.note,figcaption,footer{font-size:.9rem;color:var(--sf-muted)}
nav ul{list-style:none;display:flex;flex-wrap:wrap;gap:.2rem 1.1rem;padding:0;margin:1rem 0 0;
  font-size:.9rem}
section{margin:2.2rem 0 0;padding-top:1.4rem;border-top:1px solid var(--sf-rule)}
.summary{background:var(--sf-paper);border:1px solid var(--sf-rule);
  border-left:.4rem solid var(--sf-series-1);border-radius:.4rem;padding:.6rem 1.1rem}
.summary p:first-child{font-size:1.15rem;font-weight:600}
.caution{border:2px solid var(--sf-series-2);border-radius:.4rem;padding:.2rem 1.1rem .5rem;
  margin:1rem 0;background:var(--sf-paper)}
.caution h3{margin-top:.5rem}
.scroll{overflow-x:auto;margin:1rem 0;background:var(--sf-paper);border:1px solid var(--sf-rule);
  border-radius:.4rem;max-width:100%}
table{border-collapse:collapse;width:100%;font-size:.92rem;font-variant-numeric:tabular-nums}
caption{text-align:left;padding:.6rem .8rem .3rem;font-weight:600;color:var(--sf-ink)}
th,td{padding:.35rem .8rem;text-align:left;vertical-align:top;border-top:1px solid var(--sf-rule)}
thead th{border-top:0;color:var(--sf-muted);font-weight:600;vertical-align:bottom}
tbody th{font-weight:600}
th.number,td.number{text-align:right}
td.number,tbody th.number{white-space:nowrap}
.unit{white-space:nowrap;font-weight:400}
figure{margin:1rem 0;background:var(--sf-paper);border:1px solid var(--sf-rule);
  border-radius:.4rem;padding:.45rem;min-width:0;max-width:100%;width:fit-content}
figcaption{padding:.4rem .2rem 0;overflow-wrap:anywhere;max-width:42rem}
.picture{max-width:100%}
.picture svg{display:block}
.slim{display:none}
.gallery{display:flex;flex-wrap:wrap;gap:1rem;align-items:flex-start;margin:1rem 0}
.gallery figure{margin:0}
.gallery figcaption{max-width:28rem}
.tables{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(36rem,100%),1fr));
  gap:0 1rem;align-items:start}
.tables .scroll{min-width:0}
.tables th,.tables td{padding:.3rem .5rem}
.tables table{font-size:.88rem}
@media screen and (max-width:40rem){figure{padding:.25rem;margin:1rem auto}
  .gallery{justify-content:center}th,td,.tables th,.tables td{padding:.3rem .25rem}
  table,.tables table{font-size:.8rem}.unit{display:block}}
@media print,screen and (max-width:40rem){.wide{display:none}.slim{display:block}
  figcaption,.gallery figcaption{max-width:20rem}}
details>summary{cursor:pointer;padding:.4rem 0}
pre{overflow-x:auto;background:var(--sf-paper);border:1px solid var(--sf-rule);
  border-radius:.4rem;padding:.7rem .9rem;font-size:.9rem}
footer{border-top:1px solid var(--sf-rule);margin-top:2.5rem;padding-top:1rem;padding-bottom:2rem}
@media print{
  @page{margin:13mm 14mm}
  body{background:#fff;font-size:9pt;line-height:1.35}
  header,nav,main,footer{max-width:none;padding-left:0;padding-right:0}
  header{padding-top:0}
  nav{display:none}
  h1{font-size:16pt}
  h2{font-size:12pt;margin-bottom:.3rem}
  h3{font-size:10pt;margin:.6rem 0 .2rem}
  p,li{max-width:none;margin:.15rem 0}
  ul{margin:.2rem 0}
  section{border-top:0;margin-top:.7rem;padding-top:0}
  figure,tr,.summary,.caution{break-inside:avoid}
  figure{border:0;padding:0}
  h2,h3,caption{break-after:avoid}
  .summary,.caution{padding:.2rem .6rem;margin:.3rem 0}
  .scroll{overflow:visible;border:0;margin:.3rem 0}
  .gallery{display:block;margin:.2rem 0;orphans:1;widows:1}
  .gallery figure{display:inline-block;width:276px;vertical-align:top;margin:.2rem 1rem .2rem 0}
  .slim{width:272px!important}
  figcaption,.gallery figcaption{max-width:270px;padding-top:.1rem}
  .note,figcaption,footer{font-size:8pt}
  .tables{grid-template-columns:1fr}
  table,.tables table{font-size:7.5pt;line-height:1.2}
  caption{padding:.2rem .3rem}
  th,td,.tables th,.tables td{padding:.1rem .3rem}
  footer{margin-top:.6rem;padding-top:.3rem;padding-bottom:0}
}
)css";

}  // namespace

std::string page_style() {
  // The light colours again, for paper: no one prints a dark page.
  return theme_css() + rules + "@media print{:root{--page:#fff;" + theme_variables(Theme::light) +
         "}}\n";
}

}  // namespace sweepflux::render
