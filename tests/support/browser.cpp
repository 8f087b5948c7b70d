#include "tests/support/browser.hpp"

#include "tests/support/shared_folder.hpp"

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

namespace sweepflux::test {
namespace {

namespace fs = std::filesystem;

std::string browser_program() {
  for (const char* program : {"/usr/bin/chromium", "/usr/bin/chromium-browser"}) {
    if (fs::exists(program)) {
      return program;
    }
  }
  return {};
}

// Runs inside the page. Contrast: each element that has text of its own, its colour laid over the
// backgrounds behind it; an SVG text counts its fill and opacity. The answer goes into an element
// that --dump-dom prints.
constexpr const char* measuring_script = R"js(
const lin=c=>{c/=255;return c<=0.04045?c/12.92:Math.pow((c+0.055)/1.055,2.4)};
const lum=c=>0.2126*lin(c[0])+0.7152*lin(c[1])+0.0722*lin(c[2]);
const parse=s=>{const m=s.match(/[\d.]+/g);return m?m.map(Number):[0,0,0,0]};
const over=(t,b)=>{const a=t.length>3?t[3]:1;return [0,1,2].map(i=>t[i]*a+b[i]*(1-a))};
function behind(e){let stack=[];for(let n=e;n;n=n.parentElement){const b=parse(getComputedStyle(n).backgroundColor);
  if(b.length<4||b[3]>0)stack.push(b);}
  let c=[255,255,255];for(const b of stack.reverse())c=over(b,c);return c;}
const r={texts:0,least:99,leastText:"",requests:performance.getEntriesByType("resource").length};
for(const e of document.querySelectorAll("body *")){
  if(e.id==="sf-probe"||e.tagName==="SCRIPT")continue;
  const svg=e.namespaceURI.endsWith("svg");
  if(svg&&!["text","tspan"].includes(e.tagName))continue;
  const own=[...e.childNodes].some(n=>n.nodeType===3&&n.textContent.trim());
  if(!own)continue;
  const s=getComputedStyle(e);if(s.display==="none"||s.visibility==="hidden")continue;
  if(e.closest(".sr"))continue;
  let back=behind(svg?e.closest("svg").parentElement:e);
  // A seam around letters is what they are read against.
  if(svg&&s.stroke!=="none"&&parseFloat(s.strokeWidth)>=2&&s.paintOrder.startsWith("stroke"))
    back=over(parse(s.stroke),back);
  let fore=parse(svg?s.fill:s.color);
  if(svg){const a=parseFloat(s.fillOpacity)*parseFloat(s.opacity);fore=[fore[0],fore[1],fore[2],(fore.length>3?fore[3]:1)*a];}
  const f=over(fore,back);let a=lum(f),b=lum(back);if(a<b)[a,b]=[b,a];
  const k=(a+0.05)/(b+0.05);r.texts++;
  if(k<r.least){r.least=k;r.leastText=e.textContent.trim().slice(0,60);}
}
const pics=[...document.querySelectorAll("svg,img")];
r.pictures=pics.length;
r.mute=pics.filter(p=>!(p.getAttribute("alt")||p.getAttribute("aria-label")||
  (p.querySelector(":scope>title")||{}).textContent)).length;
r.width=document.documentElement.scrollWidth;r.window=window.innerWidth;
r.dark=matchMedia("(prefers-color-scheme: dark)").matches?1:0;
const p=document.createElement("pre");p.id="sf-probe";
p.textContent="PROBE "+[r.texts,r.least,r.requests,r.pictures,r.mute,r.width,r.window,r.dark].join(" ")+" TEXT "+r.leastText+" END";
document.body.appendChild(p);
)js";

// A window cannot be made narrower than some 500 px, a frame can. It lies in the text of the outer
// page, so that this may read what the script found, and the page has no address to fetch from.
constexpr const char* frame_head =
    "<!DOCTYPE html><meta name=\"color-scheme\" content=\"light dark\"/>"
    "<body style=\"margin:0\"><iframe id=\"f\" style=\"border:0;height:900px;width:";
constexpr const char* frame_tail =
    "\"></iframe><script>const f=document.getElementById('f');f.onload=()=>{"
    "const p=f.contentDocument.getElementById('sf-probe');"
    "if(p)document.body.append(p.textContent);};</script>";

std::string framed(const std::string& html, int width_px) {
  std::string text = frame_head + std::to_string(width_px) + "px\" srcdoc=\"";
  for (const char c : html) {
    text += c == '&' ? "&amp;" : c == '"' ? "&quot;" : std::string(1, c);
  }
  return text + frame_tail;
}

std::string quoted(const std::string& word) { return "'" + word + "'"; }

/// Everything that the program wrote to standard output and to standard error, together.
std::string run(const std::string& command) {
  std::string out;
  std::FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
  if (!pipe) {
    return out;
  }
  std::array<char, 65536> buffer{};
  for (std::size_t n = 0; (n = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    out.append(buffer.data(), n);
  }
  ::pclose(pipe);
  return out;
}

std::string command_line(const fs::path& folder, const std::string& more) {
  return "timeout 100 " + browser_program() +
         " --headless --no-sandbox --disable-gpu --disable-quic --no-first-run"
         " --disable-background-networking --disable-component-update --disable-sync"
         " --user-data-dir=" +
         quoted((folder / "profile").string()) + " " + more;
}

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const std::size_t at = text.find(from);
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

}  // namespace

bool browser_is_here() { return !browser_program().empty(); }

std::optional<BrowserReport> open_in_browser(const std::string& html,
                                             int width_px,
                                             BrowserTheme theme) {
  if (!browser_is_here()) {
    return std::nullopt;
  }
  const fs::path folder = scratch_folder();
  std::ofstream(folder / "page.html", std::ios::binary) << html;
  std::string probed =
      replaced(html, "default-src 'none'", "default-src 'none'; script-src 'unsafe-inline'");
  probed =
      replaced(probed,
               "</body>",
               std::string("<script>//<![CDATA[\n") + measuring_script + "//]]></script></body>");
  std::ofstream(folder / "probed.html", std::ios::binary) << framed(probed, width_px);
  const std::string look =
      "--hide-scrollbars --window-size=" + std::to_string(width_px) +
      ",900 --blink-settings=preferredColorScheme=" + (theme == BrowserTheme::dark ? "0" : "1") +
      " ";
  BrowserReport report;
  std::istringstream log(
      run(command_line(folder,
                       look + "--enable-logging=stderr --v=0 --dump-dom " +
                           quoted("file://" + (folder / "page.html").string()))));
  for (std::string line; std::getline(log, line);) {
    if (line.find("CONSOLE") != std::string::npos) {
      report.console.push_back(line);
    }
  }
  const std::string dom = run(command_line(
      folder, look + "--dump-dom " + quoted("file://" + (folder / "probed.html").string())));
  const std::size_t at = dom.rfind("PROBE ");
  const std::size_t text = dom.rfind(" TEXT ");
  const std::size_t end = dom.rfind(" END");
  if (at == std::string::npos || text == std::string::npos || end == std::string::npos ||
      text < at || end < text) {
    return std::nullopt;
  }
  std::istringstream numbers(dom.substr(at + 6, text - at - 6));
  numbers.imbue(std::locale::classic());
  int dark = 0;
  numbers >> report.texts >> report.least_contrast >> report.requests >> report.pictures >>
      report.pictures_without_words >> report.page_width_px >> report.window_width_px >> dark;
  report.dark_wished = dark == 1;
  report.least_contrast_text = dom.substr(text + 6, end - text - 6);
  return report;
}

std::size_t printed_size(const std::string& html) {
  if (!browser_is_here()) {
    return 0;
  }
  const fs::path folder = scratch_folder();
  std::ofstream(folder / "page.html", std::ios::binary) << html;
  const fs::path paper = folder / "page.pdf";
  (void)run(command_line(folder,
                         "--print-to-pdf=" + quoted(paper.string()) + " " +
                             quoted("file://" + (folder / "page.html").string())));
  std::error_code missing;
  const auto size = fs::file_size(paper, missing);
  return missing ? 0 : static_cast<std::size_t>(size);
}

}  // namespace sweepflux::test
