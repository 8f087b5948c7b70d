#include "sweepflux/capture/delimited/csv_rows.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <fstream>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

using Rows = std::vector<std::vector<std::string>>;

Rows read_all(const std::string& text, const CsvOptions& options = {}) {
  CsvRows rows = CsvRows::over_text(text, options);
  Rows all;
  while (const CsvRow* row = rows.next()) {
    EXPECT_EQ(row->fault, CsvFault::none) << describe(row->fault);
    std::vector<std::string> cells;
    for (const CsvCell& cell : row->cells) {
      cells.emplace_back(cell.text);
    }
    all.push_back(cells);
  }
  return all;
}

const Rows two_by_two = {{"a", "b"}, {"1", "2"}};

TEST(CsvRows, finds_the_separator_from_the_heading) {
  EXPECT_EQ(read_all("a,b\n1,2\n"), two_by_two);
  EXPECT_EQ(read_all("a;b\n1;2\n"), two_by_two);
  EXPECT_EQ(read_all("a\tb\n1\t2\n"), two_by_two);
  EXPECT_EQ(read_all("a|b\n1|2\n"), two_by_two);
  EXPECT_EQ(read_all("a  b \n 1 \t 2\n"), two_by_two);
}

TEST(CsvRows, takes_no_decimal_comma_for_the_separator) {
  EXPECT_EQ(read_all("a;b\n-20,0;0,42\n-10,0;1,86\n"),
            (Rows{{"a", "b"}, {"-20,0", "0,42"}, {"-10,0", "1,86"}}));
  EXPECT_EQ(read_all("a\tb\n0,1\t0,42\n0,2\t0,43\n"),
            (Rows{{"a", "b"}, {"0,1", "0,42"}, {"0,2", "0,43"}}));
}

TEST(CsvRows, understands_every_line_end) {
  for (const std::string end : {"\n", "\r\n", "\r"}) {
    EXPECT_EQ(read_all("a,b" + end + "1,2" + end), two_by_two);
  }
}

TEST(CsvRows, counts_physical_lines_and_byte_columns) {
  CsvRows rows = CsvRows::over_text("sep=;\r\n# note\r\n\r\na;b\r\n\"x\ny\";  2\r\n3;4");
  const CsvRow* row = rows.next();
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->line, 4U);
  EXPECT_EQ(rows.last_comment(), " note");
  EXPECT_EQ(rows.last_comment_line(), 2U);
  row = rows.next();
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->line, 5U);
  EXPECT_EQ(row->cells.at(0).text, "x\ny");
  EXPECT_TRUE(row->cells.at(0).quoted);
  EXPECT_TRUE(row->has_line_end);
  row = rows.next();
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->line, 7U);
  EXPECT_EQ(row->cells.at(1).column, 3U);
  EXPECT_FALSE(row->has_line_end);
  EXPECT_EQ(rows.next(), nullptr);
  EXPECT_EQ(rows.next(), nullptr);
}

TEST(CsvRows, takes_a_byte_order_mark_and_quotes_off) {
  EXPECT_EQ(read_all("\xEF\xBB\xBF\"a\",\"b\",\n\"say \"\"x\"\"\",2,\n"),
            (Rows{{"a", "b", ""}, {"say \"x\"", "2", ""}}));
}

TEST(CsvRows, keeps_a_spreadsheet_error_in_the_first_cell_as_a_row) {
  EXPECT_EQ(read_all("a,b\n#N/A,2\n#comment\n"), (Rows{{"a", "b"}, {"#N/A", "2"}}));
}

TEST(CsvRows, marks_a_faulty_row_and_goes_on) {
  const std::string long_cell(100, '7');
  CsvOptions options;
  options.max_cell_bytes = 50;
  options.max_line_bytes = 200;
  options.max_cells = 10;
  const std::vector<std::pair<std::string, CsvFault>> cases = {
      {std::string("1,3.4\0\0\0", 8), CsvFault::nul_byte},
      {"1,\"2", CsvFault::open_quote},
      {"\"1\"2,3", CsvFault::text_after_quote},
      {"1," + long_cell, CsvFault::cell_too_long},
      {"1,2,3,4,5,6,7,8,9,10,11", CsvFault::too_many_cells},
  };
  for (const auto& [line, fault] : cases) {
    CsvRows rows = CsvRows::over_text("a,b\n" + line + "\n8,9\n", options);
    ASSERT_NE(rows.next(), nullptr);
    const CsvRow* row = rows.next();
    ASSERT_NE(row, nullptr);
    EXPECT_EQ(row->fault, fault) << line;
    EXPECT_EQ(row->line, 2U);
    row = rows.next();
    ASSERT_NE(row, nullptr) << line;
    EXPECT_EQ(row->fault, CsvFault::none);
    EXPECT_EQ(row->line, 3U);
    EXPECT_EQ(row->cells.at(1).text, "9");
  }
}

TEST(CsvRows, says_where_a_nul_byte_stands) {
  CsvRows rows = CsvRows::over_text(std::string("t,a,v\n4.0,0,3.4\0\0\n", 18));
  ASSERT_NE(rows.next(), nullptr);
  const CsvRow* row = rows.next();
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->fault_column, 10U);
}

TEST(CsvRows, passes_over_a_ten_megabyte_line_in_bounded_memory) {
  CsvRows rows = CsvRows::over_text("a,b\n" + std::string(10'000'000, 'x') + "\n1,2\n");
  ASSERT_NE(rows.next(), nullptr);
  const CsvRow* row = rows.next();
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->fault, CsvFault::line_too_long);
  row = rows.next();
  ASSERT_NE(row, nullptr);
  EXPECT_EQ(row->line, 3U);
  EXPECT_EQ(rows.next(), nullptr);
}

TEST(CsvRows, gives_the_same_rows_wherever_a_block_ends) {
  // Lines of all lengths, so that blocks end in the middle of cells, quotes and CRLF pairs.
  std::string text = "a,b\r\n";
  Rows expected = {{"a", "b"}};
  for (int i = 0; text.size() < 1'000'000; ++i) {
    const std::string cell(static_cast<std::size_t>(i % 37), 'z');
    text += std::to_string(i) + ",\"" + cell + "\"\"\"\r\n";
    expected.push_back({std::to_string(i), cell + "\""});
  }
  EXPECT_EQ(read_all(text), expected);
}

TEST(CsvRows, gives_nothing_for_an_empty_text) {
  EXPECT_TRUE(read_all("").empty());
  EXPECT_TRUE(read_all("\n\n\r\n  \n# only words\n").empty());
}

TEST(CsvRows, refuses_what_is_no_csv_file) {
  const auto folder = test::scratch_folder();
  EXPECT_THROW(CsvRows{folder}, InputError);
  EXPECT_THROW(CsvRows{folder / "missing.csv"}, InputError);
  std::ofstream(folder / "wide.csv", std::ios::binary) << std::string(
      "\xFF\xFE"
      "a\0,\0",
      6);
  EXPECT_THROW(CsvRows{folder / "wide.csv"}, InputError);
  CsvOptions options;
  options.separator = '"';
  EXPECT_THROW((void)CsvRows::over_text("a", options), InputError);
}

}  // namespace
}  // namespace sweepflux
