#include "render/pages/page.hpp"

#include "render/pages/html_text.hpp"
#include "render/canvas/write_svg.hpp"
#include "sweepflux/base/error.hpp"

#include <cctype>
#include <utility>

namespace sweepflux::render {
namespace {

/// "Where the doubt comes from" -> "where-the-doubt-comes-from"
std::string id_of(std::string_view heading, std::size_t number) {
  std::string id;
  for (const char c : heading) {
    if (std::isalnum(static_cast<unsigned char>(c))) {
      id += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else if (!id.empty() && id.back() != '-') {
      id += '-';
    }
  }
  while (!id.empty() && id.back() == '-') {
    id.pop_back();
  }
  return id.empty() ? "section-" + std::to_string(number) : id;
}

std::string text(std::string_view plain) { return escape_html(plain); }

std::string item_list(std::span<const std::string> items) {
  std::string out = "<ul>\n";
  for (const std::string& item : items) {
    out += "<li>" + text(item) + "</li>\n";
  }
  return out + "</ul>\n";
}

}  // namespace

void PageTable::add_measured(const std::string& name, const std::string& unit) {
  columns.push_back({name, unit, true});
  columns.push_back({name + " \xC2\xB1", unit, true});
}

Page::Page(std::string title) : title_(std::move(title)) {}

std::string Page::figure(const PagePicture& picture) {
  if (picture.canvas.description.empty()) {
    throw InputError("a picture of a page needs words for those who do not see it");
  }
  SvgOptions options;
  options.embedded = true;
  options.id_prefix = "picture-" + std::to_string(++pictures_);
  return "<figure>\n<div class=\"picture\">\n" + write_svg(picture.canvas, options) +
         "\n</div>\n<figcaption>" + text(picture.caption) + "</figcaption>\n</figure>\n";
}

void Page::subtitle(std::string_view plain) {
  subtitle_ += "<p class=\"subtitle\">" + text(plain) + "</p>\n";
}

void Page::section(std::string_view heading) {
  if (in_section_) {
    body_ += "</section>\n";
  }
  in_section_ = true;
  std::string id = id_of(heading, contents_.size() + 1);
  for (const Contents& earlier : contents_) {
    if (earlier.id == id) {
      id += "-" + std::to_string(contents_.size() + 1);
      break;
    }
  }
  contents_.push_back({id, std::string(heading)});
  body_ += "<section aria-labelledby=\"" + id + "\">\n<h2 id=\"" + id + "\">" + text(heading) +
           "</h2>\n";
}

void Page::subheading(std::string_view plain) { body_ += "<h3>" + text(plain) + "</h3>\n"; }

void Page::paragraph(std::string_view plain) { body_ += "<p>" + text(plain) + "</p>\n"; }

void Page::note(std::string_view plain) { body_ += "<p class=\"note\">" + text(plain) + "</p>\n"; }

void Page::list(std::span<const std::string> items) {
  if (!items.empty()) {
    body_ += item_list(items);
  }
}

void Page::cautions(std::string_view heading, std::span<const std::string> items) {
  if (!items.empty()) {
    body_ +=
        "<div class=\"caution\">\n<h3>" + text(heading) + "</h3>\n" + item_list(items) + "</div>\n";
  }
}

void Page::verdict(std::span<const std::string> sentences) {
  if (sentences.empty()) {
    return;
  }
  body_ += "<div class=\"verdict\">\n";
  for (const std::string& sentence : sentences) {
    body_ += "<p>" + text(sentence) + "</p>\n";
  }
  body_ += "</div>\n";
}

void Page::key_figures(std::span<const KeyFigure> figures) {
  if (figures.empty()) {
    return;
  }
  body_ += "<dl class=\"key\">\n";
  for (const KeyFigure& f : figures) {
    body_ += "<div><dt>" + text(f.label) + "</dt><dd>" + text(f.value);
    if (!f.remark.empty()) {
      body_ += " <span>" + text(f.remark) + "</span>";
    }
    body_ += "</dd></div>\n";
  }
  body_ += "</dl>\n";
}

void Page::table(const PageTable& table) {
  if (table.rows.empty()) {
    return;
  }
  const std::string id = "table-" + std::to_string(++tables_);
  // A region that can be reached by the keyboard, because it may have to be scrolled sideways.
  body_ += "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-labelledby=\"" + id +
           "\">\n<table>\n<caption id=\"" + id + "\">" + text(table.caption) +
           "</caption>\n<thead>\n<tr>";
  for (const PageTable::Column& column : table.columns) {
    body_ += "<th scope=\"col\"";
    body_ += column.number ? " class=\"number\">" : ">";
    body_ += text(column.name);
    if (!column.unit.empty()) {
      body_ += " <span class=\"unit\">[" + text(column.unit) + "]</span>";
    }
    body_ += "</th>";
  }
  body_ += "</tr>\n</thead>\n<tbody>\n";
  for (const std::vector<std::string>& row : table.rows) {
    body_ += "<tr>";
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
      const std::string cell = i < row.size() ? text(row[i]) : std::string();
      const std::string kind = table.columns[i].number ? " class=\"number\"" : "";
      body_ += i == 0 ? "<th scope=\"row\"" + kind + ">" + cell + "</th>"
                      : "<td" + kind + ">" + cell + "</td>";
    }
    body_ += "</tr>\n";
  }
  body_ += "</tbody>\n</table>\n</div>\n";
}

void Page::picture(const PagePicture& picture) { body_ += figure(picture); }

void Page::pictures(std::span<const PagePicture> pictures) {
  if (pictures.empty()) {
    return;
  }
  body_ += "<div class=\"gallery\">\n";
  for (const PagePicture& picture : pictures) {
    body_ += figure(picture);
  }
  body_ += "</div>\n";
}

void Page::command(std::string_view plain) {
  body_ += "<pre tabindex=\"0\"><code>" + text(plain) + "</code></pre>\n";
}

void Page::footer(std::string_view plain) { footer_ += "<p>" + text(plain) + "</p>\n"; }

std::string Page::html() const {
  std::string out =
      "<!DOCTYPE html>\n<html lang=\"en\" xmlns=\"http://www.w3.org/1999/xhtml\">\n<head>\n"
      "<meta charset=\"utf-8\"/>\n"
      "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
      "<meta name=\"color-scheme\" content=\"light dark\"/>\n"
      // Whatever a later change may slip in, the browser refuses to fetch it.
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
      "style-src 'unsafe-inline'; img-src data:\"/>\n"
      // Else a browser asks the server for an icon.
      "<link rel=\"icon\" href=\"data:,\"/>\n<title>";
  out += text(title_) + "</title>\n<style>\n" + page_style() + "</style>\n</head>\n<body>\n";
  out += "<header>\n<h1>" + text(title_) + "</h1>\n" + subtitle_ + "</header>\n";
  if (contents_.size() > 2) {
    out += "<nav aria-label=\"On this page\">\n<ul>\n";
    for (const Contents& c : contents_) {
      out += "<li><a href=\"#" + c.id + "\">" + text(c.heading) + "</a></li>\n";
    }
    out += "</ul>\n</nav>\n";
  }
  out += "<main>\n" + body_;
  if (in_section_) {
    out += "</section>\n";
  }
  out += "</main>\n";
  if (!footer_.empty()) {
    out += "<footer>\n" + footer_ + "</footer>\n";
  }
  return out + "</body>\n</html>\n";
}

}  // namespace sweepflux::render
