// One name for one thing: the words that the glossary of DEVELOPERS.md retires are used nowhere, be
// it in messages, help, pages, pictures, keys, names of code or comments.
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>
#include <fstream>
#include <iterator>
#include <set>
#include <string>
#include <vector>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

struct Word {
  std::string text;  ///< lower case
  std::size_t line = 0;
};

/// Words of a text, names of code taken apart: "nearestTies", "nearest_ties" are "nearest", "ties".
std::vector<Word> words_of(const std::string& text) {
  std::vector<Word> words;
  std::size_t line = 1;
  char before = ' ';
  for (const char c : text) {
    const auto is = [](int (*kind)(int), char letter) {
      return kind(static_cast<unsigned char>(letter)) != 0;
    };
    if (is(std::isalnum, c)) {
      const bool starts = !is(std::isalnum, before) || (is(std::isupper, c) && is(std::islower, before));
      if (starts) {
        words.push_back({{}, line});
      }
      words.back().text += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    }
    line += c == '\n' ? 1 : 0;
    before = c;
  }
  return words;
}

using Phrase = std::vector<std::string>;

Phrase phrase_of(const std::string& text) {
  Phrase phrase;
  for (const Word& word : words_of(text)) {
    phrase.push_back(word.text);
  }
  return phrase;
}

bool stands_at(const Phrase& phrase, const std::vector<Word>& words, std::size_t at) {
  return at + phrase.size() <= words.size() &&
         std::equal(phrase.begin(), phrase.end(), words.begin() + static_cast<std::ptrdiff_t>(at),
                    [](const std::string& wanted, const Word& word) { return wanted == word.text; });
}

/// What the languages' own libraries call things.
const std::vector<Phrase>& foreign() {
  static const std::vector<Phrase> phrases = {
      {"push", "back"}, {"push", "heap"}, {"push", "macro"}, {"stack", "push"}, {"std", "tie"}};
  return phrases;
}

/// The retired phrases in a text, each as "line: phrase".
std::vector<std::string> retired_in(const std::string& text, const std::set<Phrase>& retired) {
  std::vector<std::string> found;
  const std::vector<Word> words = words_of(text);
  for (std::size_t i = 0; i < words.size(); ++i) {
    const auto own = std::find_if(foreign().begin(), foreign().end(), [&](const Phrase& phrase) {
      return stands_at(phrase, words, i);
    });
    if (own != foreign().end()) {
      i += own->size() - 1;
      continue;
    }
    for (const Phrase& phrase : retired) {
      if (stands_at(phrase, words, i)) {
        std::string shown = std::to_string(words[i].line) + ":";
        for (const std::string& word : phrase) {
          shown += " " + word;
        }
        found.push_back(shown);
      }
    }
  }
  return found;
}

std::string content(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

/// DEVELOPERS.md, with the rows of its glossary taken out.
struct Guide {
  std::set<Phrase> retired;
  std::string rest;
};

/// A row is "| word | meaning | `retired`, `retired` |".
Guide read_guide() {
  Guide guide;
  std::ifstream in(test::source_folder() / "DEVELOPERS.md");
  bool in_glossary = false;
  for (std::string line; std::getline(in, line);) {
    if (line.starts_with("## ")) {
      in_glossary = line == "## Glossary";
    }
    if (!in_glossary || !line.starts_with("| ")) {
      guide.rest += line;
    } else {
      const std::size_t last = line.rfind('|', line.size() - 2);
      for (std::size_t from = line.find('`', last); from != std::string::npos;) {
        const std::size_t to = line.find('`', from + 1);
        guide.retired.insert(phrase_of(line.substr(from, to - from)));
        from = line.find('`', to + 1);
      }
    }
    guide.rest += '\n';
  }
  return guide;
}

TEST(Words, AreFoundInNamesAndAcrossLines) {
  const std::set<Phrase> retired = {phrase_of("doubt"), phrase_of("as found"), phrase_of("push")};
  EXPECT_EQ(retired_in("double thrustDoubt = 0;", retired), std::vector<std::string>{"1: doubt"});
  EXPECT_EQ(retired_in("/// kept as\n/// found\n", retired), std::vector<std::string>{"1: as found"});
  EXPECT_EQ(retired_in("a\nADD_DOUBT; as_found", retired),
            (std::vector<std::string>{"2: doubt", "2: as found"}));
  EXPECT_TRUE(retired_in("v.push_back(1); no doubts; has found; was found", retired).empty());
}

TEST(Words, ThatTheGlossaryRetiresAreUsedNowhere) {
  const Guide guide = read_guide();
  ASSERT_GT(guide.retired.size(), 20u);
  std::size_t files = 0;
  const auto check = [&](const std::string& text, const std::string& path) {
    ++files;
    for (const std::string& found : retired_in(text, guide.retired)) {
      ADD_FAILURE() << path << ":" << found;
    }
  };
  check(guide.rest, "DEVELOPERS.md");
  check(content(test::source_folder() / "README.md"), "README.md");
  static const std::set<std::string> endings = {
      ".cpp", ".hpp", ".py", ".sh", ".txt", ".cmake", ".in", ".md", ".toml"};
  for (const char* folder : {"src", "render", "tests", "scans"}) {
    for (const auto& entry : fs::recursive_directory_iterator(test::source_folder() / folder)) {
      const std::string path =
          entry.path().lexically_relative(test::source_folder()).generic_string();
      if (entry.is_regular_file() && endings.contains(entry.path().extension().string()) &&
          path != "tests/house/words_test.cpp" && !path.starts_with("tests/fuzz/found/")) {
        check(content(entry.path()), path);
        check(path, path);
      }
    }
  }
  EXPECT_GT(files, 300u) << "the walk over the tree found too little";
}

}  // namespace
}  // namespace sweepflux
