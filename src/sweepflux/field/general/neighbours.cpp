#include "sweepflux/field/general/neighbours.hpp"

#include "sweepflux/field/general/scattered.hpp"

#include <nanoflann.hpp>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

namespace sweepflux {
namespace {

struct Found {
  double squared = 0.0;
  std::size_t index = 0;

  bool before(const Found& other) const {
    return squared < other.squared || (squared == other.squared && index < other.index);
  }
};

/// The best few so far, in order. The library's own set forgets which of two equally far places
/// comes first; here the lower index does.
class Best {
 public:
  Best(Found* storage, std::size_t capacity) : found_(storage), capacity_(capacity) {}

  [[nodiscard]] std::size_t size() const { return size_; }
  [[nodiscard]] bool full() const { return size_ == capacity_; }

  bool addPoint(double squared, std::size_t index) {
    const Found candidate{squared, index};
    if (full() && !candidate.before(found_[size_ - 1])) {
      return true;
    }
    std::size_t place = full() ? size_ - 1 : size_++;
    for (; place > 0 && candidate.before(found_[place - 1]); --place) {
      found_[place] = found_[place - 1];
    }
    found_[place] = candidate;
    return true;
  }

  /// The tree passes only what is strictly nearer than this: a hair more lets equals through.
  [[nodiscard]] double worstDist() const {
    return full()
               ? std::nextafter(found_[size_ - 1].squared, std::numeric_limits<double>::infinity())
               : std::numeric_limits<double>::max();
  }

 private:
  Found* found_;
  std::size_t capacity_;
  std::size_t size_ = 0;
};

struct Cloud {
  std::vector<PlanePoint> at;

  [[nodiscard]] std::size_t kdtree_get_point_count() const { return at.size(); }
  [[nodiscard]] double kdtree_get_pt(std::size_t i, std::size_t axis) const {
    return axis == 0 ? at[i].y_m : at[i].z_m;
  }
  template <typename Box>
  bool kdtree_get_bbox(Box&) const {
    return false;
  }
};

using TreeIndex = nanoflann::
    KDTreeSingleIndexAdaptor<nanoflann::L2_Simple_Adaptor<double, Cloud>, Cloud, 2, std::size_t>;

}  // namespace

struct Neighbours::Tree {
  Cloud cloud;
  std::unique_ptr<const TreeIndex> index;  // none: brute force
};

Neighbours::Neighbours(std::vector<PlanePoint> at, Search search) {
  require_finite(at, "place");
  auto tree = std::make_shared<Tree>();
  tree->cloud.at = std::move(at);
  if (search == Search::tree && !tree->cloud.at.empty()) {
    tree->index = std::make_unique<const TreeIndex>(
        2, tree->cloud, nanoflann::KDTreeSingleIndexAdaptorParams(16));
  }
  tree_ = std::move(tree);
}

const std::vector<PlanePoint>& Neighbours::places() const { return tree_->cloud.at; }

std::vector<std::size_t> Neighbours::nearest(PlanePoint to, std::size_t count) const {
  std::vector<std::size_t> result(std::min(count, places().size()));
  nearest(to, result);
  return result;
}

std::size_t Neighbours::nearest(PlanePoint to, std::span<std::size_t> into) const {
  require_finite(std::span(&to, 1), "wanted place");
  const std::size_t count = std::min(into.size(), places().size());
  if (count == 0) {
    return 0;
  }
  thread_local std::vector<Found> storage;  // kept between questions; holds nothing across them
  storage.resize(count);
  Best best(storage.data(), count);
  if (tree_->index) {
    const double wanted[2] = {to.y_m, to.z_m};
    tree_->index->findNeighbors(best, wanted, nanoflann::SearchParams());
  } else {
    for (std::size_t i = 0; i < places().size(); ++i) {
      const double dy = to.y_m - places()[i].y_m;
      const double dz = to.z_m - places()[i].z_m;
      best.addPoint(dy * dy + dz * dz, i);
    }
  }
  for (std::size_t i = 0; i < count; ++i) {
    into[i] = storage[i].index;
  }
  return count;
}

}  // namespace sweepflux
