#include "sweepflux/record/folder.hpp"

#include "sweepflux/base/error.hpp"
#include "tests/support/shared_folder.hpp"

#include <gtest/gtest.h>

#include <fcntl.h>
#include <fstream>
#include <iterator>
#include <map>
#include <sys/file.h>
#include <unistd.h>

namespace sweepflux {
namespace {

namespace fs = std::filesystem;

std::string content(const fs::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

void put(const fs::path& file, const std::string& text) {
  fs::create_directories(file.parent_path());
  std::ofstream(file, std::ios::binary) << text;
}

/// Every file below a folder with what it holds.
std::map<std::string, std::string> tree(const fs::path& folder) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(folder)) {
    files[entry.path().lexically_relative(folder).string()] =
        entry.is_regular_file() ? content(entry.path()) : "(folder)";
  }
  return files;
}

void write_result(const fs::path& target, const std::string& text) {
  ResultFolder folder(target, {});
  folder.add("summary.json", text);
  folder.write();
}

std::string folder_refusal(const fs::path& target, const std::vector<fs::path>& inputs = {}) {
  try {
    ResultFolder folder(target, inputs);
  } catch (const InputError& error) {
    return error.what();
  }
  return "not refused";
}

TEST(ResultFolder, HoldsAllFilesAndNothingIsLeftBesideIt) {
  const fs::path top = test::scratch_folder();
  ResultFolder folder(top / "out", {});
  folder.add("summary.json", "{}\n");
  folder.add("plane-1.5m.png", std::string("\x89PNG\0\r\n", 7));
  folder.write();
  EXPECT_EQ(content(top / "out/summary.json"), "{}\n");
  EXPECT_EQ(content(top / "out/plane-1.5m.png"), std::string("\x89PNG\0\r\n", 7));
  EXPECT_EQ(tree(top).size(), 4u) << "the folder, two files and the list";
}

TEST(ResultFolder, MakesTheFoldersAboveIt) {
  const fs::path top = test::scratch_folder();
  write_result(top / "a/b/c", "new");
  EXPECT_EQ(content(top / "a/b/c/summary.json"), "new");
}

TEST(ResultFolder, IsReplacedAsAWhole) {
  const fs::path top = test::scratch_folder();
  ResultFolder first(top / "out", {});
  first.add("summary.json", "old");
  first.add("plane-9m.csv", "old");
  first.write();
  write_result(top / "out", "new");
  EXPECT_EQ(content(top / "out/summary.json"), "new");
  EXPECT_FALSE(fs::exists(top / "out/plane-9m.csv"));
  EXPECT_EQ(tree(top).size(), 3u);
}

TEST(ResultFolder, TakesAnEmptyFolderAndATrailingSlash) {
  const fs::path top = test::scratch_folder();
  fs::create_directories(top / "out");
  write_result(top / "out/", "new");
  EXPECT_EQ(content(top / "out/summary.json"), "new");
}

TEST(ResultFolder, RefusesAFolderThatIsNotOurs) {
  const fs::path top = test::scratch_folder();
  put(top / "thesis/summary.json", "mine");
  EXPECT_NE(folder_refusal(top / "thesis").find("did not write"), std::string::npos);
  EXPECT_EQ(content(top / "thesis/summary.json"), "mine");
}

TEST(ResultFolder, RefusesAnEarlierResultThatSomebodyAddedTo) {
  const fs::path top = test::scratch_folder();
  write_result(top / "out", "old");
  put(top / "out/notes.txt", "three days of work");
  EXPECT_NE(folder_refusal(top / "out").find("`notes.txt`"), std::string::npos);
  fs::remove(top / "out/notes.txt");
  EXPECT_EQ(folder_refusal(top / "out"), "not refused");
}

TEST(ResultFolder, LeavesAFileAloneThatWasChangedUnlessAskedTo) {
  const fs::path top = test::scratch_folder();
  write_result(top / "out", "old");
  write_result(top / "out", "old");
  put(top / "out/summary.json", "ola");
  EXPECT_NE(folder_refusal(top / "out").find("`summary.json` was changed since sweepflux wrote it"),
            std::string::npos)
      << folder_refusal(top / "out");
  EXPECT_EQ(folder_refusal(top / "out").find("or;"), std::string::npos);
  ResultFolder anyway(top / "out", {}, ResultFolder::Owner::program, Edited::replace);
  anyway.add("summary.json", "new");
  anyway.write();
  EXPECT_EQ(content(top / "out/summary.json"), "new");
  put(top / "out/notes.txt", "not written by us: no word lets it go");
  EXPECT_THROW(ResultFolder(top / "out", {}, ResultFolder::Owner::program, Edited::replace),
               InputError);
}

TEST(ResultFolder, KeepsItsMode) {
  const fs::path top = test::scratch_folder();
  fs::create_directories(top / "closed");
  fs::permissions(top / "closed", fs::perms(0700));
  write_result(top / "closed", "old");
  EXPECT_EQ(fs::status(top / "closed").permissions(), fs::perms(0700));
  fs::permissions(top / "closed", fs::perms(02775));
  write_result(top / "closed", "new");
  EXPECT_EQ(fs::status(top / "closed").permissions(), fs::perms(02775));
  EXPECT_EQ(tree(top).size(), 3u) << "nothing is left beside it";
}

TEST(ResultFolder, LooksAgainBeforeItReplaces) {
  const fs::path top = test::scratch_folder();
  write_result(top / "out", "old");
  ResultFolder folder(top / "out", {});
  folder.add("summary.json", "new");
  put(top / "out/notes.txt", "written while the map was made");
  EXPECT_THROW(folder.write(), InputError);
  EXPECT_EQ(content(top / "out/summary.json"), "old");
  EXPECT_EQ(tree(top).size(), 4u);
}

TEST(ResultFolder, RefusesAFileALostLinkAndNoName) {
  const fs::path top = test::scratch_folder();
  put(top / "out", "a file");
  EXPECT_NE(folder_refusal(top / "out").find("no folder"), std::string::npos);
  fs::create_symlink(top / "nowhere", top / "link");
  EXPECT_NE(folder_refusal(top / "link").find("link"), std::string::npos);
  EXPECT_NE(folder_refusal("").find("empty"), std::string::npos);
}

TEST(ResultFolder, RefusesToReplaceAnInputOrTheFolderThatOneStandsIn) {
  const fs::path top = test::scratch_folder();
  write_result(top / "survey", "old");
  put(top / "survey/survey.toml", "");
  EXPECT_NE(folder_refusal(top / "survey", {top / "survey/survey.toml"}).find("input"),
            std::string::npos);
  EXPECT_NE(folder_refusal(top / "survey/../survey/.", {top / "survey/survey.toml"}).find("input"),
            std::string::npos);
  fs::create_directory_symlink(top / "survey", top / "link");
  EXPECT_NE(folder_refusal(top / "link", {top / "survey/survey.toml"}).find("input"),
            std::string::npos);
  EXPECT_EQ(folder_refusal(top / "survey-results", {top / "survey/survey.toml"}), "not refused");
  EXPECT_NE(folder_refusal(".").find("stand in"), std::string::npos);
  EXPECT_NE(folder_refusal("/").find("stand in"), std::string::npos);
}

TEST(ResultFolder, FollowsALinkToAnEarlierResult) {
  const fs::path top = test::scratch_folder();
  write_result(top / "disk/out", "old");
  fs::create_directory_symlink(top / "disk/out", top / "link");
  write_result(top / "link", "new");
  EXPECT_TRUE(fs::is_symlink(top / "link"));
  EXPECT_EQ(content(top / "disk/out/summary.json"), "new");
}

TEST(ResultFolder, LeavesEverythingAsItWasWhenStopped) {
  const fs::path top = test::scratch_folder();
  write_result(top / "out", "old");
  const auto before = tree(top);
  for (int stop_at = 0; stop_at < 4; ++stop_at) {
    ResultFolder folder(top / "out", {});
    folder.add("summary.json", "new");
    folder.add("planes.csv", "new");
    int asked = 0;
    EXPECT_THROW(folder.write([&] { return asked++ == stop_at; }), Interrupted) << stop_at;
    EXPECT_EQ(tree(top), before) << stop_at;
  }
  ResultFolder deep(top / "a/b/c", {});
  deep.add("summary.json", "new");
  int asked = 0;
  EXPECT_THROW(deep.write([&] { return asked++ == 1; }), Interrupted);
  EXPECT_EQ(tree(top), before) << "the folders made above it go as well";
}

TEST(ResultFolder, SaysWhyItCannotWrite) {
  // Nothing can be made in /proc, not even by the superuser.
  ResultFolder folder("/proc/sweepflux-results", {});
  folder.add("summary.json", "new");
  EXPECT_THROW(folder.write(), SystemError);
}

TEST(ResultFolder, SweepsAwayWhatAKilledRunLeftButNotWhatALivingOneHolds) {
  const fs::path top = test::scratch_folder();
  put(top / ".out.sweepflux-part-00000001/.sweepflux", "summary.json\n");
  put(top / ".out.sweepflux-part-00000001/summary.json", "half");
  put(top / ".out.sweepflux-part-00000002/.sweepflux", "summary.json\n");
  put(top / ".out.sweepflux-part-00000003/holiday.jpg", "not ours");
  // Killed before there was a list; another has only just begun and holds its folder.
  fs::create_directories(top / ".out.sweepflux-part-00000004");
  put(top / ".out.sweepflux-part-00000005/.sweepflux.new", "");
  fs::create_directories(top / ".out.sweepflux-part-00000006");
  const int begun = ::open((top / ".out.sweepflux-part-00000006").c_str(), O_RDONLY | O_CLOEXEC);
  ASSERT_EQ(::flock(begun, LOCK_EX | LOCK_NB), 0);
  const int held =
      ::open((top / ".out.sweepflux-part-00000002/.sweepflux").c_str(), O_RDONLY | O_CLOEXEC);
  ASSERT_EQ(::flock(held, LOCK_EX | LOCK_NB), 0);
  write_result(top / "out", "new");
  ::close(held);
  ::close(begun);
  EXPECT_FALSE(fs::exists(top / ".out.sweepflux-part-00000004"));
  EXPECT_FALSE(fs::exists(top / ".out.sweepflux-part-00000005"));
  EXPECT_TRUE(fs::exists(top / ".out.sweepflux-part-00000006"));
  EXPECT_FALSE(fs::exists(top / ".out.sweepflux-part-00000001"));
  EXPECT_TRUE(fs::exists(top / ".out.sweepflux-part-00000002"));
  EXPECT_TRUE(fs::exists(top / ".out.sweepflux-part-00000003/holiday.jpg"));
}

TEST(ResultFolder, BringsBackAResultThatAKilledRunHadMovedAside) {
  const fs::path top = test::scratch_folder();
  write_result(top / "out", "old");
  fs::rename(top / "out", top / ".out.sweepflux-kept-0a0a0a0a");
  ResultFolder folder(top / "out", {});
  folder.add("summary.json", "new");
  int asked = 0;
  EXPECT_THROW(folder.write([&] { return asked++ == 1; }), Interrupted);
  EXPECT_EQ(content(top / "out/summary.json"), "old");
}

TEST(ResultFolder, GivenToTheUserIsNeverReplaced) {
  const fs::path top = test::scratch_folder();
  ResultFolder folder(top / "survey", {}, ResultFolder::Owner::user);
  folder.add("survey.toml", "mine from now on");
  folder.add("sweeps/near.csv", "angle,speed");
  folder.write();
  EXPECT_EQ(content(top / "survey/sweeps/near.csv"), "angle,speed");
  EXPECT_FALSE(fs::exists(top / "survey/.sweepflux"));
  EXPECT_EQ(tree(top).size(), 4u);
  EXPECT_NE(folder_refusal(top / "survey").find("did not write"), std::string::npos);
  write_result(top / "out", "ours");
  EXPECT_THROW(ResultFolder(top / "out", {}, ResultFolder::Owner::user), InputError);
}

TEST(ResultFolder, RefusesNamesThatLeaveTheFolderOrRepeat) {
  ResultFolder folder(test::scratch_folder() / "out", {});
  folder.add("planes.csv", "");
  EXPECT_THROW(folder.add("planes.csv", ""), InputError);
  EXPECT_THROW(folder.add("../planes.csv", ""), InputError);
  EXPECT_THROW(folder.add(".sweepflux", ""), InputError);
  EXPECT_THROW(folder.add("", ""), InputError);
  EXPECT_THROW(folder.add("sweeps/near.csv", ""), InputError);
  ResultFolder own(test::scratch_folder() / "out", {}, ResultFolder::Owner::user);
  EXPECT_THROW(own.add("sweeps/../../near.csv", ""), InputError);
  EXPECT_THROW(own.add("/near.csv", ""), InputError);
  EXPECT_THROW(own.add("sweeps/", ""), InputError);
}

}  // namespace
}  // namespace sweepflux
