#include "render/pages/page.hpp"

#include "render/canvas/text.hpp"
#include "render/canvas/write_svg.hpp"
#include "render/pages/html_text.hpp"
#include "sweepflux/base/error.hpp"
#include "sweepflux/base/message_text.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux::render {
namespace {

/// "Left out, and why" -> "left-out-and-why"
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

void PageTable::add_measured(const std::string& name,
                             const std::string& unit,
                             bool with_interval,
                             double scale) {
  const auto group = static_cast<int>(columns.size());
  columns.push_back({name, unit, true, 3, group, false, scale});
  columns.push_back({"\xC2\xB1", unit, true, 2, group, true});
  if (with_interval) {
    columns.push_back({"from (95 %)", unit, true, 3, group});
    columns.push_back({"to (95 %)", unit, true, 3, group});
  }
}

void PageTable::add_predicted(const std::string& name, const std::string& unit) {
  const auto group = static_cast<int>(columns.size());
  for (const std::string& column : {name, std::string("from (95 %)"), std::string("to (95 %)")}) {
    columns.push_back({column, unit, true, 2, group});
  }
}

void PageTable::add_number(const std::string& name, const std::string& unit, int digits) {
  columns.push_back({name, unit, true, digits});
}

void PageTable::add_words(std::initializer_list<const char*> names) {
  for (const char* name : names) {
    columns.push_back({name});
  }
}

std::vector<int> PageTable::decimals() const {
  const auto wanted = [this](const auto& belongs, int digits) {
    std::vector<double> numbers;
    for (const std::vector<Cell>& row : rows) {
      for (std::size_t i = 0; i < std::min(row.size(), columns.size()); ++i) {
        numbers.push_back(belongs(columns[i]) ? row[i].number.value_or(0.0) : 0.0);
      }
    }
    return column_decimals(numbers, digits);
  };
  std::vector<int> found;
  for (const Column& column : columns) {
    const auto mine = [&](const Column& c) {
      return &c == &column || (column.group >= 0 && c.group == column.group);
    };
    int decimals = wanted([&](const Column& c) { return mine(c) && c.uncertainty; }, 2);
    if (decimals < 0) {
      decimals = std::max(0, wanted(mine, column.digits));
    }
    found.push_back(decimals);
  }
  return found;
}

void PageTable::put(const std::optional<Estimate>& value) {
  const double none = std::numeric_limits<double>::quiet_NaN();
  const Estimate e = value.value_or(Estimate{none, none, none, none});
  std::vector<Cell>& row = rows.back();
  const Column& first = columns.at(row.size());
  const auto width = std::count_if(
      columns.begin(), columns.end(), [&](const Column& c) { return c.group == first.group; });
  row.emplace_back(first.scale * e.value);
  if (width != 3) {
    row.emplace_back(e.standard_uncertainty > 0.0 ? first.scale * e.standard_uncertainty : none);
  }
  if (width > 2) {
    row.emplace_back(first.scale * e.low_95);
    row.emplace_back(first.scale * e.high_95);
  }
}

void PageTable::put(const std::optional<Measured>& value) {
  put(value ? std::optional(Estimate{value->value, value->standard_uncertainty, 0.0, 0.0})
            : std::nullopt);
}

Page::Page(std::string title) : title_(std::move(title)) {}

std::string Page::figure(const PagePicture& picture) {
  if (picture.canvas.description.empty()) {
    throw InputError("a picture of a page needs words for those who do not see it");
  }
  std::string out = "<figure>\n";
  const auto add = [&](const Canvas& canvas, const std::string& form) {
    SvgOptions options;
    options.embedded = true;
    options.id_prefix = "picture-" + std::to_string(++pictures_);
    // Never larger than drawn, so that all letters on a page are of one size.
    out += "<div class=\"picture" + form + "\" style=\"width:" + fixed_text(canvas.width, 0) +
           "px\">\n" + write_svg(canvas, options) + "</div>\n";
  };
  add(picture.canvas, picture.slim ? " wide" : "");
  if (picture.slim) {
    add(*picture.slim, " slim");
  }
  return out + "<figcaption>" + text(picture.caption) + "</figcaption>\n</figure>\n";
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

void Page::summary(std::span<const std::string> sentences) {
  if (sentences.empty()) {
    return;
  }
  body_ += "<div class=\"summary\">\n";
  for (const std::string& sentence : sentences) {
    body_ += "<p>" + text(sentence) + "</p>\n";
  }
  body_ += "</div>\n";
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
  const std::vector<int> decimals = table.decimals();
  for (const std::vector<PageTable::Cell>& row : table.rows) {
    body_ += "<tr>";
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
      const PageTable::Cell none;
      const PageTable::Cell& cell = i < row.size() ? row[i] : none;
      std::string words = text(cell.words);
      if (cell.number) {
        words = std::isfinite(*cell.number) ? fixed_text(*cell.number, decimals[i]) : "-";
      }
      const std::string kind = table.columns[i].number ? " class=\"number\"" : "";
      body_ += i == 0 ? "<th scope=\"row\"" + kind + ">" + words + "</th>"
                      : "<td" + kind + ">" + words + "</td>";
    }
    body_ += "</tr>\n";
  }
  body_ += "</tbody>\n</table>\n</div>\n";
}

void Page::tables(std::span<const PageTable> tables) {
  body_ += "<div class=\"tables\">\n";
  for (const PageTable& one : tables) {
    table(one);
  }
  body_ += "</div>\n";
}

void Page::open_details(std::string_view words) {
  body_ += "<details>\n<summary>" + text(words) + "</summary>\n";
}

void Page::close_details() { body_ += "</details>\n"; }

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

void Page::pictures(std::initializer_list<const std::optional<PagePicture>*> pictures) {
  std::vector<PagePicture> there;
  for (const auto* picture : pictures) {
    if (*picture) {
      there.push_back(**picture);
    }
  }
  this->pictures(there);
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
