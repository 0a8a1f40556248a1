// Promises as crews write them, read by hand.
#include "analysis/outcomes/appointments.h"

#include <gtest/gtest.h>

namespace leeward::analysis {
namespace {

struct Written {
  const char* promise;
  bool to_neuter;
  Brings brings;
};

TEST(Appointments, SayWhetherItIsToNeuterAndWhoBringsTheAnimal) {
  for (const auto& [promise, to_neuter, brings] : std::initializer_list<Written>{
           {"neuter appointment, van at 8", true, Brings::Team},
           {"Spay appt - owner brings her", true, Brings::Owner},
           {"vet appointment 9:30", false, Brings::NotSaid},
           {"clinic for the wound, we drive", false, Brings::Team},
           {"surgery; no car", false, Brings::Team},
           {"pick up for spay", true, Brings::Team},
           {"cita para esterilización, el dueño la lleva", true, Brings::Owner},
           {"cita de castración, recogemos a las 8", true, Brings::Team},
           {"neuter appointment, van or owner brings", true, Brings::NotSaid},
       }) {
    const auto read = appointmentIn(promise);
    ASSERT_TRUE(read) << promise;
    EXPECT_EQ(read->to_neuter, to_neuter) << promise;
    EXPECT_EQ(read->brings, brings) << promise;
  }
}

TEST(Appointments, WhatIsYetToBeArrangedIsAPromiseLikeOthers) {
  for (const char* promise : {"", "bring straw", "talk about neutering", "neuter appointment to arrange", "ask clinic for a date", "neutered dog needs a collar", "excitable: bring treats", "hablar de castración"}) {
    EXPECT_FALSE(appointmentIn(promise)) << promise;
  }
}

}  // namespace
}  // namespace leeward::analysis
